"""The register of a site as tables: a line an item by room, what is to be done by when, what to put right soon."""

from collections.abc import Iterable, Iterator
from datetime import date
from itertools import groupby
from typing import Final

from appreg.core.judging.methods import left_out_because
from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import InspectionKind
from appreg.core.values.dates_in_words import MONTH_NAMES
from appreg.core.values.outcomes import Outcome
from appreg.core.values.told_tables import Cell, CellKind, Row, TableColumn, TableGroup, ToldTable, one_group
from appreg.paper.documents.item_lines import InspectedItem, LastTime
from appreg.paper.documents.item_words import class_words, failing_words, owner_words, plate_words, state_words
from appreg.paper.documents.register_content import RegisterDocument
from appreg.schedule.due_states import DueState, is_item_overdue, is_overdue, waited_dates

DO_NOT_USE: Final = "do not use"
_RESULTS: Final = (Outcome.FAIL.value.upper(), Outcome.INCOMPLETE.value.upper())
_STATES: Final = (DO_NOT_USE, DueState.OVERDUE, DueState.NEVER, *(each.value for each in ServiceState))
_NEVER: Final = "never"
_LIMITED: Final = " limited"
"""Of a pass without a check that was left out."""
_MONTHS_AHEAD: Final = 12
LINE_COLUMNS: Final = (
    TableColumn(name="tag", head="tag", kind=CellKind.TAG, weight=20),
    TableColumn(name="item", head="item", weight=62),
    TableColumn(name="class_and_type", head="class and type", weight=31),
    TableColumn(name="tested", head="tested", kind=CellKind.DATE, weight=19),
    TableColumn(name="tested_by", head="by", weight=9),
    TableColumn(name="test_result", head="result", weight=19, loud=_RESULTS),
    TableColumn(name="looked_at", head="looked at", kind=CellKind.DATE, weight=19),
    TableColumn(name="looked_at_by", head="by", weight=9),
    TableColumn(name="look_result", head="result", weight=19, loud=_RESULTS),
    TableColumn(name="next_visual", head="next formal visual inspection", kind=CellKind.DATE, weight=20),
    TableColumn(name="next_test", head="next inspection and test", kind=CellKind.DATE, weight=20),
    TableColumn(name="state", head="state", weight=24, loud=_STATES),
)
_ROOM: Final = TableColumn(name="room", head="room")


def every_item(document: RegisterDocument) -> ToldTable:
    """A line for each item, room by room."""

    def room(item: InspectedItem) -> tuple[str, str]:
        return item.location.casefold(), item.location

    groups = groupby(sorted(document.items, key=room), key=lambda item: item.location)
    return ToldTable(
        title="Every item",
        columns=LINE_COLUMNS,
        grouped_by=_ROOM,
        groups=tuple(
            TableGroup(head=head, rows=tuple(item_row(item, document.printed) for item in own)) for head, own in groups
        ),
        none="the register holds no item",
    )


def item_row(item: InspectedItem, on: date) -> Row:
    """The line of an item: its last test and its last look as two facts, and its next dates."""
    thing = item.appliance
    named = " · ".join(part for part in (thing.name, plate_words(thing), owner_words(thing), item.stated) if part)
    return (
        thing.tag,
        named,
        class_words(thing),
        *_time(item.last_test, limited=_was_limited(item)),
        *_time(item.last_look, limited=False),
        *_next(item),
        _state(item, on),
    )


def _time(last: LastTime | None, *, limited: bool) -> tuple[Cell, Cell, Cell]:
    if last is None:
        return _NEVER, "", ""
    result = last.inspection.outcome.value.upper()
    return last.inspection.date, last.person, f"{result}{_LIMITED if limited else ''}"


def _was_limited(item: InspectedItem) -> bool:
    """Tell whether the last test left a check out."""
    shown = item.tested if item.only_looked else item.findings
    return any(left_out_because(finding.method) for finding in shown)


def _next(item: InspectedItem) -> tuple[Cell, Cell]:
    """What is waited for; nothing of an item that must not be used, is out of service or was never inspected."""
    unknown = item.inspection is None and not item.stated
    if item.failed or unknown or item.appliance.state is not ServiceState.IN_SERVICE:
        return "", ""
    visual, test = item.appliance.next_visual, item.appliance.next_test
    return visual or DueState.NOT_NEEDED.value, test or DueState.NOT_NEEDED.value


def _state(item: InspectedItem, on: date) -> str:
    if item.failed and item.appliance.state is ServiceState.IN_SERVICE:
        return DO_NOT_USE
    if words := state_words(item.appliance):
        return words
    if item.inspection is None and not item.stated:
        return DueState.NEVER.value
    return DueState.OVERDUE.value if is_item_overdue(item.appliance, on) else ""


TO_DO_COLUMNS: Final = (
    TableColumn(name="by", head="by when", weight=40, loud=(DueState.OVERDUE, DueState.NEVER)),
    TableColumn(name="first", head="first day", kind=CellKind.DATE, weight=22),
    TableColumn(name="looks", head="formal visual inspections", kind=CellKind.NUMBER, weight=30, summed=True),
    TableColumn(name="tests", head="inspections and tests", kind=CellKind.NUMBER, weight=30, summed=True),
)


def to_do(document: RegisterDocument) -> ToldTable:
    """What falls due: overdue, then month by month for a year, then the rest."""
    on = document.printed
    parts: dict[str, list[tuple[InspectionKind, date]]] = {}
    waiting = [each for item in document.items if not item.failed for each in _waited(item)]
    for what, due in sorted(waiting, key=lambda each: each[1]):
        parts.setdefault(_by_when(due, on), []).append((what, due))
    rows: list[Row] = [
        (words, dates[0][1], _count(dates, InspectionKind.VISUAL), _count(dates, InspectionKind.COMBINED))
        for words, dates in parts.items()
    ]
    never = sum(
        item.inspection is None and not item.stated and item.appliance.state is ServiceState.IN_SERVICE
        for item in document.items
    )
    if never:
        rows.insert(0, (DueState.NEVER.value, None, 0, never))
    return ToldTable(
        title="To do, by when",
        columns=TO_DO_COLUMNS,
        groups=one_group(tuple(rows)),
        none="nothing is waited for",
    )


def _waited(item: InspectedItem) -> Iterator[tuple[InspectionKind, date]]:
    visual, test = waited_dates(item.appliance)
    if visual is not None:
        yield InspectionKind.VISUAL, visual
    if test is not None:
        yield InspectionKind.COMBINED, test


def _by_when(due: date, on: date) -> str:
    if is_overdue(due, on):
        return DueState.OVERDUE.value
    ahead = (due.year - on.year) * _MONTHS_AHEAD + due.month - on.month
    return f"{MONTH_NAMES[due.month - 1]} {due.year}" if ahead <= _MONTHS_AHEAD else "later"


def _count(dates: Iterable[tuple[InspectionKind, date]], what: InspectionKind) -> int:
    return sum(each is what for each, _ in dates)


SOON_COLUMNS: Final = (
    TableColumn(name="what", head="what was said when they were inspected", weight=60),
    TableColumn(name="items", head="items", kind=CellKind.NUMBER, weight=9),
    TableColumn(name="tags", head="tags", weight=40),
)


def put_right_soon(document: RegisterDocument) -> ToldTable:
    """Advice on items that did not fail, each sentence once with the items it was given on."""
    given: dict[str, list[str]] = {}
    for item in document.items:
        if item.inspection is not None and not item.failed and item.appliance.state is ServiceState.IN_SERVICE:
            for sentence in item.inspection.advice:
                given.setdefault(sentence, []).append(item.appliance.tag)
    rows = [(said, len(tags), ", ".join(tags)) for said, tags in given.items()]
    rows.sort(key=lambda row: -row[1])
    return ToldTable(
        title="Put right soon",
        columns=SOON_COLUMNS,
        groups=one_group(tuple(rows)),
        none="no advice was given on items in service",
    )


def corrections(document: RegisterDocument) -> list[str]:
    """Each result that stands in place of another, with the day and the reason."""
    return [f"{item.appliance.tag}: {item.corrected}" for item in document.items if item.corrected]


FAILED_COLUMNS: Final = (
    TableColumn(name="tag", head="tag", kind=CellKind.TAG, weight=20),
    TableColumn(name="item", head="item", weight=48),
    TableColumn(name="room", head="room", weight=32),
    TableColumn(name="failed", head="failed", kind=CellKind.DATE, weight=20),
    TableColumn(name="by", head="by", weight=9),
    TableColumn(name="why", head="why", weight=75),
    TableColumn(name="action", head="remedial action", weight=67),
)


def failures(document: RegisterDocument) -> ToldTable:
    """Every item whose latest result is a failure."""
    rows = tuple(_failed_row(item) for item in document.items if item.failed)
    return ToldTable(
        title="Failed: do not use" if rows else "Failed",
        columns=FAILED_COLUMNS,
        groups=one_group(rows),
        none="no item stands as failed in this register",
    )


def _failed_row(item: InspectedItem) -> Row:
    thing, inspection = item.appliance, item.inspection
    named = " · ".join(part for part in (thing.name, plate_words(thing)) if part)
    on = inspection.date if inspection is not None else None
    why = "; ".join(part for part in (failing_words(item), inspection.remarks if inspection else "") if part)
    return (
        thing.tag,
        named,
        item.location,
        on,
        item.person,
        why or "see the remarks",
        item.remedial_action or "none recorded",
    )
