"""The tables of a new register, laid once for all tests of a process: most of what a new register costs."""

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest

from appreg.clock import Clock
from appreg.core.values.uids import Uid
from appreg.register.engine.file_engine import in_one_go
from appreg.register.opening import file_making, migrations
from appreg.register.opening.migrations import Maker, lay_tables, maker_of_file, migrate
from appreg.register.schema.file_marks import APPLICATION_ID, NEWEST
from appreg.register.schema.later_tables import MIGRATIONS, Migration


class _Noting(Maker):
    """Notes the steps as done, and leaves the tables as they were laid."""

    def operate(self, step: Migration) -> None:
        """Alter nothing."""


@pytest.fixture(scope="session", autouse=True)
def _tables_laid_once() -> Iterator[None]:
    """New registers get a copy of the empty tables, with a chain of their own; test_register_file.py holds the two alike."""
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as laid, pytest.MonkeyPatch.context() as patch:
        lay_tables(maker_of_file(Path(":memory:"), laid))
        made_whole = migrations.make_tables

        def make_tables(path: Path, connection: sqlite3.Connection, clock: Clock, new_uid: Callable[[], Uid]) -> None:
            if vars(migrations)["MIGRATIONS"] is not MIGRATIONS:  # a test that makes an older register, or a later one
                made_whole(path, connection, clock, new_uid)
                return
            laid.backup(connection)
            connection.execute("PRAGMA journal_mode = WAL")
            with in_one_go(connection):
                migrate(_Noting(maker_of_file(path, connection).run, lambda: None, lambda _: ()), (), clock, new_uid)
                connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
                connection.execute(f"PRAGMA user_version = {NEWEST}")

        patch.setattr(file_making, "make_tables", make_tables)
        yield
