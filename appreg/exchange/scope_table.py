"""A scope of work as one table (CSV): places, counts and checks first, then a line for each item.

A contractor may put columns of their own beside it, prices say: what is read back goes by the names of the columns.
"""

import csv
import io
from collections.abc import Iterator, Sequence
from datetime import date
from typing import Final

from appreg.core.records.kept_records import InspectionKind
from appreg.core.values.counted_words import counted
from appreg.core.values.text import guarded_cell, shown
from appreg.core.values.uids import Uid
from appreg.exchange.csv_cells import Cells, Column, read_cells
from appreg.exchange.file_problems import FileProblem, refuse_problems
from appreg.schedule.scope_of_work import ScopeItem, ScopeOfWork, SentScope, WantedItem

Row = Sequence[str | int]

_SCOPE: Final = "scope"
_SITE: Final = "site"
_ACCESS: Final = "access"
_COUNT: Final = "count"
_CHECK: Final = "check"
_LEFT_OUT: Final = "left out"
_ITEM: Final = "item"

COLUMNS: Final = (
    Column(name="line", meaning="what the line tells: scope, site, access, count, check, left out or item"),
    Column(name="site", meaning="name of the site"),
    Column(name="location", meaning="the item's room"),
    Column(name="tag", meaning="the item's tag"),
    Column(name="item", meaning="what the item is called"),
    Column(name="class", meaning="1, 2, 3 or unknown"),
    Column(name="type", meaning="the equipment type"),
    Column(name="category", meaning="the kind of item"),
    Column(name="make", meaning="maker"),
    Column(name="model", meaning="model"),
    Column(name="serial", meaning="serial number"),
    Column(name="work", meaning="visual: a formal visual inspection; combined: with test"),
    Column(name="checks", meaning="the checks that are wanted, with a blank between them"),
    Column(name="items", meaning="how many items"),
    Column(name="minutes", meaning="on site"),
    Column(name="due", meaning="the day by which it falls due, ISO 8601"),
    Column(name="said", meaning="anything else"),
    Column(name="key", meaning="by which the program knows it again"),
)
HEADS: Final = tuple(column.name for column in COLUMNS)
_READ: Final = ("line", "tag", "item", "site", "work", "items", "key")
AS_WRITTEN: Final = "take it as it was written; columns may be added, lines not changed"


def scope_rows(scope: ScopeOfWork) -> Iterator[Row]:
    """The lines of the table under its heads."""
    until = f"what falls due until {scope.until.isoformat()}" if scope.until else "every item in service"
    yield _row(
        line=_SCOPE,
        items=len(scope.items),
        minutes=scope.minutes,
        said=f"made on {scope.made_on.isoformat()}: {until}",
        key=f"{scope.made_on.isoformat()} {scope.after}".strip(),
    )
    for site in scope.sites:
        own = [item for item in scope.items if item.site_key == site.key]
        yield _row(
            line=_SITE,
            site=site.name,
            items=len(own),
            minutes=sum(item.minutes for item in own),
            said=" · ".join(part for part in (site.client, site.address) if part),
            key=site.key,
        )
        yield from (_row(line=_ACCESS, site=site.name, said=sentence) for sentence in site.access)
    for count in scope.counts:
        told = {"class": count.appliance_class.value, "type": count.equipment_type.value, "work": count.work.value}
        yield _row(line=_COUNT, site=count.site, items=count.items, minutes=count.minutes, **told)
    for check, items in scope.checks:
        yield _row(line=_CHECK, checks=check.value, items=items)
    for each in scope.left_out:
        yield _row(line=_LEFT_OUT, items=each.items, said=each.why)
    yield from (_item_row(item) for item in scope.items)


def _item_row(item: ScopeItem) -> Row:
    told = {"class": item.appliance_class.value, "type": item.equipment_type.value, "work": item.work.value}
    return _row(
        line=_ITEM,
        site=item.site,
        location=item.location,
        tag=item.tag,
        item=item.name,
        category=item.category,
        make=item.make,
        model=item.model,
        serial=item.serial,
        checks=" ".join(item.checks),
        items=1,
        minutes=item.minutes,
        due=item.due.isoformat() if item.due else "",
        said=item.note,
        key=item.key,
        **told,
    )


def _row(**cells: str | int) -> Row:
    return tuple(cells.get(name, "") for name in HEADS)


def table_text(scope: ScopeOfWork) -> str:
    """The table as RFC 4180 has it, its text cells guarded against spreadsheets that would run them."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(HEADS)
    for row in scope_rows(scope):
        writer.writerow([guarded_cell(shown(cell)) if isinstance(cell, str) else cell for cell in row])
    return text.getvalue()


def text_of_rows(rows: Sequence[Sequence[str]]) -> str:
    """Rows of a sheet as the same text, each as wide as the first: a sheet has no cells behind the last that is filled."""
    text = io.StringIO(newline="")
    width = len(rows[0]) if rows else 0
    csv.writer(text, lineterminator="\r\n").writerows([*row, *[""] * (width - len(row))] for row in rows)
    return text.getvalue()


def read_table(text: str, name: str) -> SentScope:
    """What was wanted; raises InputRefused naming file, line and column where it cannot be read, or lacks a line."""
    needed = [each for each in COLUMNS if each.name in _READ]
    lines, problems = read_cells(text, name, needed, more_columns=True)
    own: dict[str, list[Cells]] = {_SCOPE: [], _SITE: [], _ITEM: []}
    for line in lines:
        # Lines that a contractor put below, a sum say, are none of ours.
        own.get(line.text("line"), []).append(line)
    head = next(iter(own[_SCOPE]), None)
    made_on, after = _made(head) if head else (None, "")
    items = tuple(wanted for line in own[_ITEM] if (wanted := _wanted(line)))
    told, placed = head.whole("items") if head else None, sum(line.whole("items") or 0 for line in own[_SITE])
    problems += [problem for kind in own.values() for line in kind for problem in line.problems]
    if not problems and (head is None or made_on is None or told is None):
        problems = [_no_head(name)]
    if not problems and not items:
        problems = [
            FileProblem(file=name, line=1, column="", what="it names no item", todo="check that it is the file")
        ]
    if not problems and head and (lost := lost_words(told=told or 0, named=len(items), placed=placed)):
        problems = [FileProblem(file=name, line=head.line, column="items", what=lost, todo=AS_WRITTEN)]
    refuse_problems(tuple(problems))
    sites = tuple(Uid(line.text("key")) for line in own[_SITE])
    return SentScope(made_on=made_on or date.min, after=after, sites=sites, items=items)


def lost_words(*, told: int, named: int, placed: int) -> str:
    """Say what a scope has lost or won since it was written; empty where it is whole.

    `told` items it says of itself, `named` are on its lines, `placed` at its places.
    """
    if told == named == placed:
        return ""
    return f"{counted(told, 'item')} were wanted, it names {counted(named, 'item')}, and its places have {placed}"


def _made(head: Cells) -> tuple[date | None, str]:
    """When it was made, and after which line of the journal; the key holds both."""
    day, _, after = head.text("key").partition(" ")
    try:
        return date.fromisoformat(day), after
    except ValueError:
        return None, ""


def _no_head(name: str) -> FileProblem:
    return FileProblem(
        file=name,
        line=2,
        column="key",
        what="no line “scope” tells when it was made and how many items it has",
        todo=AS_WRITTEN,
    )


def _wanted(line: Cells) -> WantedItem | None:
    work = line.choice("work", InspectionKind)
    key, tag = line.text("key"), line.text("tag")
    if work is None or not (key or tag):
        if not line.problems:
            line.note("key" if work else "work", "the cell is empty", "put back what was written there")
        return None
    return WantedItem(key=Uid(key), tag=tag, name=line.text("item"), site=line.text("site"), work=work)
