"""The steps from an empty file to today's tables; each is frozen once it has been let out."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

from appreg.clock import Clock
from appreg.core.uids import Uid
from appreg.register import first_tables
from appreg.register.journal_chain import INSERT, Chain, stamp, take_up
from appreg.register.record_codec import canonical

AUTHOR: Final = "appreg"
"""Who the journal names for changes that the program makes of its own accord."""


@dataclass(frozen=True, slots=True)
class Migration:
    """One step, with its number and the statements that make it."""

    number: int
    name: str
    statements: tuple[str, ...]


MIGRATIONS: Final = (Migration(1, "first tables", first_tables.STATEMENTS),)


def newest() -> int:
    """The number of the last step this version knows."""
    return MIGRATIONS[-1].number


def applied(database: Any) -> set[int]:
    """The numbers of the steps that a register has been through."""
    if not database.execute_sql("SELECT 1 FROM sqlite_master WHERE name = 'migration'").fetchone():
        return set()
    return {number for (number,) in database.execute_sql("SELECT number FROM migration").fetchall()}


def migrate(database: Any, clock: Clock, new_uid: Callable[[], Uid]) -> None:
    """Apply the steps that are missing, all in the transaction that is open."""
    done = applied(database)
    waiting = [migration for migration in MIGRATIONS if migration.number not in done]
    for migration in waiting:
        for statement in migration.statements:
            database.execute_sql(statement)
    if waiting:
        chain = _chain_for(database, clock, new_uid, fresh=not done)
        for migration in waiting:
            _note(database, chain, migration, new_uid())
        _remember(database, chain)


def _chain_for(database: Any, clock: Clock, new_uid: Callable[[], Uid], *, fresh: bool) -> Chain:
    if not fresh:
        (origin,) = database.execute_sql("SELECT value FROM register_meta WHERE key = 'origin'").fetchone()
        chain = take_up(database, origin, clock)
        chain.begin()
        return chain
    origin = new_uid()
    chain = Chain(origin, clock)
    chain.begin()
    database.execute_sql("INSERT INTO register_meta (key, value) VALUES ('origin', ?)", (origin,))
    row = chain.tie(
        who=AUTHOR, reason="new register", change=new_uid(), entity="register_meta", uid="origin",
        before=None, after=canonical({"value": origin}),
    )  # fmt: skip
    database.execute_sql(INSERT, row)
    return chain


def _note(database: Any, chain: Chain, migration: Migration, change: Uid) -> None:
    row = {"name": migration.name, "applied": stamp(chain.milliseconds, 0)[:24]}
    database.execute_sql(
        "INSERT INTO migration (number, name, applied) VALUES (?, ?, ?)",
        (migration.number, row["name"], row["applied"]),
    )
    tied = chain.tie(
        who=AUTHOR, reason=f"migration {migration.number}", change=change, entity="migration",
        uid=str(migration.number), before=None, after=canonical(row),
    )  # fmt: skip
    database.execute_sql(INSERT, tied)


def _remember(database: Any, chain: Chain) -> None:
    database.execute_sql("INSERT OR REPLACE INTO register_meta (key, value) VALUES (?, ?)", chain.head)
