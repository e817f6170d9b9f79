"""The steps from an empty file to today's tables; each is frozen once it has been let out."""

import sqlite3
from collections.abc import Callable, Collection, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from appreg.clock import Clock
from appreg.core.values.uids import Uid
from appreg.register.engine.file_engine import asking, in_one_go, load_alone, peewee_on_file
from appreg.register.journal.journal_chain import AUTHOR, INSERT, Chain, stamp, take_up
from appreg.register.schema.file_marks import APPLICATION_ID, NEWEST, applied, is_current
from appreg.register.schema.later_tables import MIGRATIONS, Migration
from appreg.register.schema.record_codec import canonical

if TYPE_CHECKING:
    from appreg.register.engine.engine import Ask

Words = Callable[[str], Iterable[str]]


def as_it_is(statement: str) -> Iterable[str]:
    """SQLite takes the steps as they are written."""
    return (statement,)


class Maker(NamedTuple):
    """What makes and alters the tables of a register, in the transaction that is open."""

    run: "Ask"
    database: Callable[[], Any]
    """Peewee on the same connection."""
    words: Words = as_it_is
    """Says a statement as the database does."""

    def do(self, statements: Iterable[str]) -> None:
        """Run statements, in the database's own words."""
        for statement in statements:
            for worded in self.words(statement):
                self.run(worded, ())

    def lay(self, step: Migration) -> None:
        """Alter the tables as a step does, but for what it fills in."""
        self.do((*step.statements, *step.afterwards))
        self.operate(step)
        self.do(step.guards)

    def operate(self, step: Migration) -> None:
        """Run the operations of a step."""
        if step.operations is not None:
            database = self.database()
            load_alone("playhouse.migrate")
            from playhouse.migrate import SchemaMigrator  # noqa: PLC0415 - few steps need it

            migrator = SchemaMigrator.from_database(database)
            migrator.migrate(*step.operations(migrator))


def maker_of_file(path: Path, connection: sqlite3.Connection) -> Maker:
    """On a connection to a file."""
    return Maker(asking(connection), lambda: peewee_on_file(path, connection))


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
            migrate(maker_of_file(path, connection), applied(connection), clock, new_uid)
            connection.execute(f"PRAGMA user_version = {NEWEST}")


def make_tables(path: Path, connection: sqlite3.Connection, clock: Clock, new_uid: Callable[[], Uid]) -> None:
    """Make an empty file a register, in one transaction."""
    connection.execute("PRAGMA journal_mode = WAL")
    with in_one_go(connection):
        migrate(maker_of_file(path, connection), applied(connection), clock, new_uid)
        connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        connection.execute(f"PRAGMA user_version = {NEWEST}")


def migrate(maker: Maker, done: Collection[int], clock: Clock, new_uid: Callable[[], Uid]) -> None:
    """Apply the steps that are missing, all in the transaction that is open."""
    waiting = [migration for migration in MIGRATIONS if migration.number not in done]
    if not waiting:
        return
    run = maker.run
    # An older register whose journal is in doubt is left as it is.
    chain = take_up(run, "", clock) if done else None
    for migration in waiting:
        maker.do(migration.statements)
        if migration.fill is not None:
            migration.fill(run)
        maker.do(migration.afterwards)
        maker.operate(migration)
        maker.do(migration.guards)
    if chain is None:
        chain = _new_chain(run, clock, new_uid)
    else:
        # Two copies may be brought up to date on two machines: neither goes on with the chain that both have.
        chain.begin()
        chain.origin = new_uid()
        run(INSERT, chain.tie_seen(new_uid()))
    for migration in waiting:
        _note(run, chain, migration, new_uid())
    run(
        "INSERT INTO register_meta (key, value) VALUES (?, ?) ON CONFLICT (key) DO UPDATE SET value = excluded.value",
        chain.head,
    )


def lay_tables(maker: Maker, newest: int = 0) -> None:
    """Make today's tables, or those after an older step, empty: what is to stand in them comes from another register."""
    for migration in MIGRATIONS[: newest or None]:
        maker.lay(migration)


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
