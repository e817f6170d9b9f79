"""The copy of a register in a database that is kept, as a file, before its tables are taken to today's."""

from collections.abc import Collection
from itertools import zip_longest
from pathlib import Path

from appreg.clock import Instant
from appreg.errors import PUT_BACK, RegisterUnusable
from appreg.register.engine.file_engine import FileEngine
from appreg.register.engine.file_opening import open_file
from appreg.register.engine.server_engine import ServerEngine
from appreg.register.journal.journal_ends import JournalEnd
from appreg.register.opening.copying import kept_among_copies, left_older
from appreg.register.opening.row_carrying import carry_rows, laid_file, tables_in
from appreg.register.schema.later_tables import LEFT_OUT
from appreg.register.schema.new_columns import has_column


def keep_copy_before_server_update(engine: ServerEngine, done: Collection[int], now: Instant) -> Path:
    """Copy an older register, which is held against whoever writes, row by row, and compare each row with the copy's.

    Raises RegisterUnusable, with nothing kept, where that fails.
    """
    newest = max(done)
    if set(done) != set(range(1, newest + 1)):
        raise RegisterUnusable(
            f"The list of steps that {engine.place} has been through is damaged; nothing was changed; {PUT_BACK}."
        )

    def copied(draft: Path) -> JournalEnd:
        with laid_file(draft, newest) as file:
            _take_out_what_was_left_out(engine, file)
            end = carry_rows(engine, file, list(tables_in(file)))
        _refuse_unlike(engine, draft)
        return end

    with left_older(engine.place):
        return kept_among_copies(engine.path, now, copied)


def _take_out_what_was_left_out(engine: ServerEngine, file: FileEngine) -> None:
    """Have the copy be of the form that the register has; whatever else it lacks is damage."""
    table, column = LEFT_OUT
    if has_column(file.database, table, column) and not has_column(engine.database, table, column):
        file.rows(f"ALTER TABLE {table} DROP COLUMN {column}")


def _refuse_unlike(engine: ServerEngine, draft: Path) -> None:
    copy = FileEngine(draft, open_file(draft))
    try:
        for table in tables_in(copy):
            pairs = zip_longest(engine.stream(table.query), copy.stream(table.query))
            if any(there != here for there, here in pairs):
                raise RegisterUnusable(f"the copy's table {table.name} does not read back as it was written.")
    finally:
        copy.close()
