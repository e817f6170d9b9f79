"""Export a list as it stands: the rows let through, in their order, in the columns chosen."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import Final

from appreg.core.values.told_tables import Cell
from appreg.exchange.list_file import JSON, FileCell, ListHead, csv_file, json_file
from appreg.exchange.list_workbook import XLSX, BookSheet, fill_workbook, typed_day
from appreg.files import placed, write_whole
from appreg.progress import Progress, tell

_AT_ONCE: Final = 500
"""Rows read between one telling of progress and the next."""


def export_list(
    head: ListHead,
    rows: Callable[[int, int], Sequence[Sequence[FileCell]]],
    count: int,
    *,
    out: Path,
    replace: bool = False,
    progress: Progress | None = None,
) -> int:
    """Write the rows, CSV unless the file's name ends in .json or .xlsx, and return how many; raises what write_whole raises.

    `rows` gives those from one place up to another.
    """

    def every() -> Iterator[Sequence[FileCell]]:
        for start in range(0, count, _AT_ONCE):
            tell(progress, start, count, f"Stopped after {start} of {count} rows; no file was written.")
            yield from rows(start, min(start + _AT_ONCE, count))

    if out.suffix.lower() == XLSX:
        with placed(out, replace=replace) as draft:
            sheet = BookSheet(name=head.title, heads=head.columns, rows=_with_days(head, every()))
            return fill_workbook(draft, head.title, [sheet])
    written = json_file if out.suffix.lower() == JSON else csv_file
    write_whole(out, written(head, every()), replace=replace)
    return count


def _with_days(head: ListHead, rows: Iterable[Sequence[FileCell]]) -> Iterator[Sequence[Cell]]:
    days = [name in head.days for name in head.columns]
    for row in rows:
        yield [typed_day(cell) if day else cell for cell, day in zip(row, days, strict=True)]
