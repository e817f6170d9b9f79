"""Make a register from the JSON Lines of another: equal to it, and at a place where none stands."""

from pathlib import Path
from typing import Final

from appreg.errors import InputRefused, RegisterUnusable
from appreg.exchange.register_lines import LinesReader, reading_lines
from appreg.files import placed, refuse_place
from appreg.given_files import GivenFileRefused
from appreg.progress import Progress, Stopped, shared
from appreg.register.copies.copy_checking import copy_problems, end_of_file
from appreg.register.copies.whole_rows import OLDEST, TableRows, fill_file
from appreg.register.journal.journal_ends import JournalEnd
from appreg.register.opening.copying import stand_alone
from appreg.register.schema.file_marks import NEWEST, refuse_half_done

_FILLED: Final = 50
"""Hundredths of the work that are done once every line is in."""
_OWN: Final = 0o600


def import_lines(source: Path, place: Path, *, progress: Progress | None = None) -> JournalEnd:
    """Make the register at `place` and tell where its journal ends; it gets its place once all of it was found sound.

    Raises GivenFileRefused where the file is none of these, cut off or altered, RegisterUnusable where its journal and
    tables do not agree, InputRefused where anything is at `place`, Stopped. Nothing is left of it then.
    """
    refuse_half_done(place)
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise InputRefused(
            f"The folder {place.parent} cannot be made ({problem.strerror}); name another with --register."
        ) from problem
    refuse_place(place)
    with placed(place, mode=_OWN) as draft:
        with reading_lines(source) as reader:
            _fill(source, reader, draft, shared(progress, 0, _FILLED))
        _refuse_unsound(source, draft, shared(progress, _FILLED, 100))
        end = end_of_file(draft)
        if end.origin != reader.head.origin:
            raise GivenFileRefused(
                source, "is damaged: its first line names another origin than its rows", "export again"
            )
    return end


def _fill(source: Path, reader: LinesReader, draft: Path, progress: Progress) -> None:
    head = reader.head
    if head.steps < OLDEST:
        raise GivenFileRefused(source, f"is damaged: no such file was written of step {head.steps}", "export it again")
    if head.steps > NEWEST:
        raise GivenFileRefused(source, "was written by a newer appreg", "install that version to import it")
    told = {table.table: table for table in head.tables}
    tables = [TableRows(name=each.table, columns=each.columns, count=each.rows) for each in head.tables]
    try:
        fill_file(draft, head.steps, tables, lambda table: reader.rows(told[table.name]), progress)
    except GivenFileRefused:
        raise
    except InputRefused as problem:
        raise GivenFileRefused(source, f"is damaged: {str(problem).rstrip('.')}", "export it again") from problem
    reader.finish()


def _refuse_unsound(source: Path, draft: Path, progress: Progress) -> None:
    """Follow the journal and rebuild each table from it before the register gets its place."""
    try:
        found = copy_problems(draft, progress)
    except Stopped:
        raise Stopped("Stopped; no register was made.") from None
    stand_alone(draft)
    if found:
        raise RegisterUnusable(
            f"No register was made of {source}, as what it holds is not sound: {found[0].sentence} Export it again."
        )
