"""The file of a scope of work: a table (CSV or a workbook) or JSON, by the ending of its name; written, and read back."""

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Final

from appreg.core.values.told_tables import Cell
from appreg.core.values.uids import Uid
from appreg.exchange.scope_form import ScopeAnswer, scope_as_json
from appreg.exchange.scope_table import AS_WRITTEN, HEADS, lost_words, read_table, scope_rows, table_text, text_of_rows
from appreg.files import placed, write_whole
from appreg.given_files import GivenFileRefused, read_bytes, text_in
from appreg.schedule.scope_of_work import ScopeOfWork, SentScope, WantedItem

JSON: Final = ".json"
CSV: Final = ".csv"
XLSX: Final = ".xlsx"
_SHEET: Final = "Scope of work"
_DAYS: Final = frozenset({HEADS.index("due")})
_MOST_BYTES: Final = 50_000_000
"""Two hundred thousand items."""


def write_scope_file(scope: ScopeOfWork, out: Path, *, replace: bool = False) -> None:
    """Write it whole or not at all; raises InputRefused where no file can be put."""
    if out.suffix.lower() == XLSX:
        _write_workbook(scope, out, replace=replace)
        return
    write_whole(out, _WRITERS[out.suffix.lower()](scope).encode(), replace=replace)


def read_scope_file(path: Path) -> SentScope:
    """What was wanted; raises InputRefused naming the file and what in it cannot be read."""
    content = read_bytes(path, what="a scope of work", most_bytes=_MOST_BYTES)
    text = _text_of(path, content)
    return _read_json(text, path) if text.lstrip().startswith("{") else read_table(text, path.name)


def _write_workbook(scope: ScopeOfWork, out: Path, *, replace: bool) -> None:
    from appreg.exchange.list_workbook import BookSheet, fill_workbook, typed_day  # noqa: PLC0415 - only where one is written

    def typed(row: Sequence[str | int]) -> list[Cell]:
        return [typed_day(cell) if at in _DAYS else cell for at, cell in enumerate(row)]

    with placed(out, replace=replace) as draft:
        fill_workbook(draft, _SHEET, [BookSheet(name=_SHEET, heads=HEADS, rows=map(typed, scope_rows(scope)))])


def _text_of(path: Path, content: bytes) -> str:
    """The text of a file; the table of a workbook that came back as if it had been sent as text."""
    from appreg.exchange.source_workbook import OpenedBook, find_sheets, is_workbook  # noqa: PLC0415 - only where one is read

    if not is_workbook(content):
        return text_in(path, content)
    names = find_sheets(path, content).names
    sheet = _SHEET if _SHEET in names else names[0]
    rows = [row.cells for row in OpenedBook(path, content).rows(sheet)]
    return text_of_rows(rows)


def _json_text(scope: ScopeOfWork) -> str:
    import json  # noqa: PLC0415 - only where a file is written

    return json.dumps(scope_as_json(scope), ensure_ascii=False, indent=2) + "\n"


_WRITERS: Final[Mapping[str, Callable[[ScopeOfWork], str]]] = {JSON: _json_text, CSV: table_text}


def _read_json(text: str, path: Path) -> SentScope:
    from msgspec import DecodeError  # noqa: PLC0415 - only where a file is read
    from msgspec.json import decode  # noqa: PLC0415 - the same

    try:
        told = decode(text, type=ScopeAnswer)
        made_on = date.fromisoformat(told["made_on"])
    except (DecodeError, ValueError) as problem:
        raise GivenFileRefused(
            path, f"is no scope of work that can be read ({problem})", "take it as it was written"
        ) from problem
    items, placed = len(told["items"]), sum(site["items"] for site in told["sites"])
    # Of itself it tells its items by class and type too.
    if lost := lost_words(told=sum(count["items"] for count in told["counts"]), named=items, placed=placed):
        raise GivenFileRefused(path, f"is not whole: {lost}", AS_WRITTEN)
    return SentScope(
        made_on=made_on,
        after=told["after"],
        sites=tuple(Uid(site["uid"]) for site in told["sites"]),
        items=tuple(
            WantedItem(key=Uid(item["uid"]), tag=item["tag"], name=item["item"], site=item["site"], work=item["work"])
            for item in told["items"]
        ),
    )
