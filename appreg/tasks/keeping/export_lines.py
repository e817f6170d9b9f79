"""Write a whole register as JSON Lines, from which an equal one can be made."""

from collections.abc import Iterator
from pathlib import Path
from typing import Final

from msgspec import Struct

from appreg.errors import RegisterUnusable
from appreg.exchange.register_lines import LinesHead, LinesTable, Row, write_lines
from appreg.files import placed
from appreg.progress import Progress, Stopped, shared, tell
from appreg.register.checking.checking import problems
from appreg.register.copies.whole_rows import HeldRows, TableRows, held_rows
from appreg.register.journal.journal_ends import JournalEnd
from appreg.register.opening.register_file import Register

_CHECKED: Final = 50
"""Hundredths of the work that are done once the register is checked."""
_OWN: Final = 0o600
_EVERY: Final = 1000
_STOPPED: Final = "Stopped; no file was written, and the register is as it was."


class ExportedLines(Struct, frozen=True, kw_only=True):
    """What was written."""

    file: Path
    lines: int
    end: JournalEnd
    """How far the register went."""


def export_lines(
    register: Register, out: Path, *, replace: bool = False, progress: Progress | None = None
) -> ExportedLines:
    """Check a register and write all of it, as it stands at one moment, into a file that its owner alone may read.

    Raises RegisterUnusable where it is not sound, InputRefused where no file can be put there, Stopped.
    """
    _refuse_unsound(register, shared(progress, 0, _CHECKED))
    with placed(out, replace=replace, mode=_OWN) as draft, held_rows(register) as held:
        lines = write_lines(draft, _head(held, register), _told(held, shared(progress, _CHECKED, 100)))
    return ExportedLines(file=out, lines=lines, end=held.end)


def _refuse_unsound(register: Register, progress: Progress) -> None:
    try:
        found = next(problems(register, progress), None)
    except Stopped:
        raise Stopped(_STOPPED) from None
    if found is not None:
        raise RegisterUnusable(
            f"Nothing was exported, as {register.place} is not sound: {found.sentence} `appreg verify` lists everything."
        )


def _head(held: HeldRows, register: Register) -> LinesHead:
    return LinesHead(steps=held.steps, origin=register.origin, tables=tuple(map(_table, held.tables)))


def _table(table: TableRows) -> LinesTable:
    return LinesTable(table=table.name, columns=table.columns, rows=table.count)


def _told(held: HeldRows, progress: Progress) -> Iterator[tuple[LinesTable, Iterator[Row]]]:
    whole, done = sum(table.count for table in held.tables), 0
    for table in held.tables:
        yield _table(table), _watched(held.rows(table), done, whole, progress)
        done += table.count


def _watched(rows: Iterator[Row], before: int, whole: int, progress: Progress) -> Iterator[Row]:
    for done, row in enumerate(rows, before):
        if done % _EVERY == 0:
            tell(progress, done, whole, _STOPPED)
        yield row
