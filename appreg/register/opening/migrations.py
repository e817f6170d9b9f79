"""The steps from an empty file to today's tables; each is frozen once it has been let out."""

import sqlite3
from collections.abc import Callable, Collection, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Final

from appreg.clock import Clock
from appreg.core.values.uids import Uid
from appreg.register.engine.file_engine import asking, in_one_go
from appreg.register.journal.journal_chain import INSERT, Chain, stamp, take_up
from appreg.register.schema.file_marks import APPLICATION_ID, NEWEST, applied, is_current
from appreg.register.schema.later_tables import MIGRATIONS, Migration
from appreg.register.schema.record_codec import canonical

if TYPE_CHECKING:
    from appreg.register.engine.engine import Ask

AUTHOR: Final = "appreg"
"""Who the journal names for changes that the program makes of its own accord."""
Words = Callable[[str], Iterable[str]]


def as_it_is(statement: str) -> Iterable[str]:
    """SQLite takes the steps as they are written."""
    return (statement,)


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
                from appreg.register.opening.copying import keep_copy_before_update  # noqa: PLC0415 - seldom needed

                keep_copy_before_update(path, clock())
            migrate(asking(connection), applied(connection), clock, new_uid)
            connection.execute(f"PRAGMA user_version = {NEWEST}")


def make_tables(connection: sqlite3.Connection, clock: Clock, new_uid: Callable[[], Uid]) -> None:
    """Make an empty file a register, in one transaction."""
    connection.execute("PRAGMA journal_mode = WAL")
    with in_one_go(connection):
        migrate(asking(connection), applied(connection), clock, new_uid)
        connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        connection.execute(f"PRAGMA user_version = {NEWEST}")


def migrate(
    run: "Ask", done: Collection[int], clock: Clock, new_uid: Callable[[], Uid], words: Words = as_it_is
) -> None:
    """Apply the steps that are missing, all in the transaction that is open; `words` says statements as the database does."""
    waiting = [migration for migration in MIGRATIONS if migration.number not in done]
    if not waiting:
        return
    # An older register whose journal is in doubt is left as it is.
    chain = _chain_of(run, clock) if done else None
    for migration in waiting:
        for statement in migration.statements:
            _run_worded(run, words, statement)
        if migration.fill is not None:
            migration.fill(run)
        for statement in migration.afterwards:
            _run_worded(run, words, statement)
    if chain is None:
        chain = _new_chain(run, clock, new_uid)
    for migration in waiting:
        _note(run, chain, migration, new_uid())
    run(
        "INSERT INTO register_meta (key, value) VALUES (?, ?) ON CONFLICT (key) DO UPDATE SET value = excluded.value",
        chain.head,
    )


def lay_tables(run: "Ask", words: Words = as_it_is, newest: int = 0) -> None:
    """Make today's tables, or those after an older step, empty: what is to stand in them comes from another register."""
    for migration in MIGRATIONS[: newest or None]:
        for statement in (*migration.statements, *migration.afterwards):
            _run_worded(run, words, statement)


def _run_worded(run: "Ask", words: Words, statement: str) -> None:
    for worded in words(statement):
        run(worded, ())


def _chain_of(run: "Ask", clock: Clock) -> Chain:
    origin = run("SELECT value FROM register_meta WHERE key = 'origin'", ())
    chain = take_up(run, origin[0][0] if origin else "", clock)
    chain.begin()
    return chain


def _new_chain(run: "Ask", clock: Clock, new_uid: Callable[[], Uid]) -> Chain:
    origin = new_uid()
    chain = Chain(origin=origin, clock=clock)
    chain.begin()
    run("INSERT INTO register_meta (key, value) VALUES ('origin', ?)", (origin,))
    row = chain.tie(
        who=AUTHOR, reason="new register", change=new_uid(), entity="register_meta", uid="origin",
        before=None, after=canonical({"value": origin}),
    )  # fmt: skip
    run(INSERT, row)
    return chain


def _note(run: "Ask", chain: Chain, migration: Migration, change: Uid) -> None:
    row = {"name": migration.name, "applied": stamp(chain.milliseconds, 0)[:24]}
    run(
        "INSERT INTO migration (number, name, applied) VALUES (?, ?, ?)",
        (migration.number, row["name"], row["applied"]),
    )
    tied = chain.tie(
        who=AUTHOR, reason=f"migration {migration.number}", change=change, entity="migration",
        uid=str(migration.number), before=None, after=canonical(row),
    )  # fmt: skip
    run(INSERT, tied)
