"""The steps from an empty file to today's tables; each is frozen once it has been let out."""

import sqlite3
from collections.abc import Callable
from pathlib import Path
from typing import Final

from appreg.clock import Clock
from appreg.core.uids import Uid
from appreg.register.file_marks import APPLICATION_ID, NEWEST, applied, is_current
from appreg.register.journal_chain import INSERT, Chain, stamp, take_up
from appreg.register.later_tables import MIGRATIONS, Migration
from appreg.register.record_codec import canonical
from appreg.register.whole_transactions import in_one_go

AUTHOR: Final = "appreg"
"""Who the journal names for changes that the program makes of its own accord."""


def bring_up_to_date(
    path: Path, connection: sqlite3.Connection, clock: Clock, new_uid: Callable[[], Uid], *, keep_copy: bool = True
) -> None:
    """Take the tables of an older register to today's, in one transaction.

    A copy of it is kept first; raises RegisterUnusable, with nothing changed, where none can be.
    """
    with in_one_go(connection):
        # Another program may have done it while this one waited.
        if not is_current(path, connection):
            if keep_copy:
                from appreg.register.copy_before_update import keep_copy_before_update  # noqa: PLC0415 - seldom needed

                keep_copy_before_update(path, clock())
            migrate(connection, clock, new_uid)
            connection.execute(f"PRAGMA user_version = {NEWEST}")


def make_tables(connection: sqlite3.Connection, clock: Clock, new_uid: Callable[[], Uid]) -> None:
    """Make an empty file a register, in one transaction."""
    connection.execute("PRAGMA journal_mode = WAL")
    with in_one_go(connection):
        migrate(connection, clock, new_uid)
        connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        connection.execute(f"PRAGMA user_version = {NEWEST}")


def migrate(connection: sqlite3.Connection, clock: Clock, new_uid: Callable[[], Uid]) -> None:
    """Apply the steps that are missing, all in the transaction that is open."""
    done = applied(connection)
    waiting = [migration for migration in MIGRATIONS if migration.number not in done]
    if not waiting:
        return
    # An older register whose journal is in doubt is left as it is.
    chain = _chain_of(connection, clock) if done else None
    for migration in waiting:
        for statement in migration.statements:
            connection.execute(statement)
        if migration.fill is not None:
            migration.fill(connection.execute)
        for statement in migration.afterwards:
            connection.execute(statement)
    if chain is None:
        chain = _new_chain(connection, clock, new_uid)
    for migration in waiting:
        _note(connection, chain, migration, new_uid())
    _remember(connection, chain)


def _chain_of(connection: sqlite3.Connection, clock: Clock) -> Chain:
    origin = connection.execute("SELECT value FROM register_meta WHERE key = 'origin'").fetchone()
    chain = take_up(connection, "" if origin is None else origin[0], clock)
    chain.begin()
    return chain


def _new_chain(connection: sqlite3.Connection, clock: Clock, new_uid: Callable[[], Uid]) -> Chain:
    origin = new_uid()
    chain = Chain(origin, clock)
    chain.begin()
    connection.execute("INSERT INTO register_meta (key, value) VALUES ('origin', ?)", (origin,))
    row = chain.tie(
        who=AUTHOR, reason="new register", change=new_uid(), entity="register_meta", uid="origin",
        before=None, after=canonical({"value": origin}),
    )  # fmt: skip
    connection.execute(INSERT, row)
    return chain


def _note(connection: sqlite3.Connection, chain: Chain, migration: Migration, change: Uid) -> None:
    row = {"name": migration.name, "applied": stamp(chain.milliseconds, 0)[:24]}
    connection.execute(
        "INSERT INTO migration (number, name, applied) VALUES (?, ?, ?)",
        (migration.number, row["name"], row["applied"]),
    )
    tied = chain.tie(
        who=AUTHOR, reason=f"migration {migration.number}", change=change, entity="migration",
        uid=str(migration.number), before=None, after=canonical(row),
    )  # fmt: skip
    connection.execute(INSERT, tied)


def _remember(connection: sqlite3.Connection, chain: Chain) -> None:
    connection.execute("INSERT OR REPLACE INTO register_meta (key, value) VALUES (?, ?)", chain.head)
