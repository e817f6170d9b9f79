"""A register in a database opened: made there, or taken to today's tables, by one program at a time."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

from appreg.clock import Clock
from appreg.errors import InputRefused, RegisterUnusable
from appreg.register.engine.places import ServerPlace
from appreg.register.engine.server_dialect import REFUSE, TableWords
from appreg.register.engine.server_engine import ServerEngine, connect
from appreg.register.journal.uid_source import Entropy, UidSource
from appreg.register.opening.migrations import Maker, lay_tables, migrate
from appreg.register.schema.file_marks import NEWEST

_IS_THERE: Final = "SELECT to_regclass('migration') IS NOT NULL AND to_regclass('register_meta') IS NOT NULL"
_STEPS: Final = "SELECT number FROM migration"
_ITEMS: Final = "appliance"
_TABLES: Final = "SELECT tablename FROM pg_catalog.pg_tables WHERE schemaname = current_schema()"
_ALONE: Final = "SELECT pg_advisory_xact_lock(hashtext('appreg'), hashtext(current_schema()))"


def open_server(place: ServerPlace, *, clock: Clock, create: bool, entropy: Entropy) -> ServerEngine:
    """Connect to the register in a database; with `create` make one where no table is. Raises RegisterUnusable."""
    engine = ServerEngine(place, connect(place))
    try:
        _bring_up_to_date(engine, clock, entropy, create=create)
    except BaseException:
        engine.close()
        raise
    return engine


def make_on_server(place: ServerPlace, *, clock: Clock, entropy: Entropy) -> None:
    """Make a register in an empty database; raises InputRefused where there is one already."""
    engine = ServerEngine(place, connect(place))
    try:
        if _is_there(engine):
            raise InputRefused(f"There is a register in {place} already; name another database.")
        _bring_up_to_date(engine, clock, entropy, create=True)
    finally:
        engine.close()


@contextmanager
def laid_out(place: ServerPlace) -> Iterator[ServerEngine]:
    """An empty database with today's tables, kept where the block does not fail; raises InputRefused where any table is."""
    engine = ServerEngine(place, connect(place))
    try:
        with engine.alone(_ALONE):
            if tables := [name for (name,) in engine.rows(_TABLES)]:
                raise InputRefused(f"{place} is not empty (it has a table {tables[0]}); name another database.")
            engine.rows(REFUSE)
            lay_tables(maker_of_server(engine, TableWords()))
            engine.rows("SET CONSTRAINTS ALL DEFERRED")
            yield engine
        engine.tune()
    finally:
        engine.close()


def maker_of_server(engine: ServerEngine, words: TableWords) -> Maker:
    """On a connection to a database."""
    return Maker(engine.rows, lambda: engine.database, words.worded)


def let_seats_go_on(engine: ServerEngine) -> None:
    """Number the items that come after those that were carried in."""
    engine.rows(
        f"SELECT setval(pg_get_serial_sequence('{_ITEMS}', 'ordinal'), max(ordinal)) FROM {_ITEMS} HAVING count(*) > 0"
    )


def _is_there(engine: ServerEngine) -> bool:
    return bool(engine.rows(_IS_THERE)[0][0])


def _bring_up_to_date(engine: ServerEngine, clock: Clock, entropy: Entropy, *, create: bool) -> None:
    if _is_there(engine):
        if _is_current(engine):
            return
        if engine.read_only:
            raise RegisterUnusable(
                f"The register {engine.place} is of an older appreg and cannot be brought up to date, as "
                f"{engine.read_only}; let somebody open it who may change it."
            )
    with engine.alone(_ALONE):
        # Another program may have done it while this one waited.
        there = _is_there(engine)
        if there and _is_current(engine):
            return
        tables = [name for (name,) in engine.rows(_TABLES)]
        done = {number for (number,) in engine.rows(_STEPS)} if there else set()
        if there:
            _keep_copy(engine, done, clock)
        else:
            _refuse_to_make(engine, tables, create=create)
            engine.rows(REFUSE)
        migrate(maker_of_server(engine, TableWords(tables)), done, clock, UidSource(clock, entropy).new_uid)


def _keep_copy(engine: ServerEngine, done: set[int], clock: Clock) -> None:
    from appreg.register.opening.server_copy import keep_copy_before_server_update  # noqa: PLC0415 - seldom needed

    engine.hold_writers()
    if done:
        keep_copy_before_server_update(engine, done, clock())


def _refuse_to_make(engine: ServerEngine, tables: list[str], *, create: bool) -> None:
    if tables:
        raise RegisterUnusable(f"{engine.place} is a database of another program; choose another.")
    if not create:
        raise InputRefused(f"There is no register in {engine.place}; `appreg new {engine.place}` makes one.")


def _is_current(engine: ServerEngine) -> bool:
    done = {number for (number,) in engine.rows(_STEPS)}
    if done and max(done) > NEWEST:
        raise RegisterUnusable(f"{engine.place} was written by a newer appreg; install that version to open it.")
    return done == set(range(1, NEWEST + 1))
