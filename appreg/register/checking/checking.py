"""The register checked from end to end: how it is kept, its journal, and its tables against the journal."""

from collections.abc import Iterator
from typing import Protocol

from appreg.errors import RegisterUnusable
from appreg.progress import Progress
from appreg.register.checking.chain_checking import FollowedChain, chain_problems
from appreg.register.checking.state_checking import TABLES, table_problems
from appreg.register.engine.file_engine import FileEngine
from appreg.register.engine.register_problems import Problem, Tally
from appreg.register.opening.register_file import Register

__all__ = ["FollowedChain", "Problem", "problems"]


class OwnCheck(Protocol):
    """Checks what the journal does not tell, on a connection of its own."""

    register: Register

    def beforehand(self) -> Iterator[Iterator[Problem]]:
        """What cannot be looked at later."""

    def hold(self) -> None:
        """From here on everything is seen as it is now, whatever others write."""

    def own(self) -> Iterator[Iterator[Problem]]:
        """What the database itself can be asked about."""


def problems(
    register: Register, progress: Progress | None = None, followed: FollowedChain | None = None
) -> Iterator[Problem]:
    """Everything found wrong, as it is found; `followed` takes what the chain came to.

    Raises Stopped where progress answers False: what was not looked at to its end is not found sound.
    """
    check = _own_check(register)
    told: set[Problem] = set()
    try:
        for part in _parts(check, progress, followed or FollowedChain()):
            for problem in _as_far_as_it_goes(check.register, part):
                if problem not in told:
                    told.add(problem)
                    yield problem
    finally:
        check.register.close()


def _own_check(register: Register) -> OwnCheck:
    if isinstance(register.engine, FileEngine):
        from appreg.register.checking.file_checking import FileCheck  # noqa: PLC0415 - each knows its own database

        return FileCheck(register)
    from appreg.register.checking.server_checking import ServerCheck  # noqa: PLC0415 - the same

    return ServerCheck(register)


def _parts(check: OwnCheck, progress: Progress | None, followed: FollowedChain) -> Iterator[Iterator[Problem]]:
    register = check.register
    yield from check.beforehand()
    yield _held(check)
    tally = Tally(_total(register), progress)
    tally.tell()
    yield from check.own()
    yield chain_problems(register, tally, followed)
    for table in TABLES:
        yield table_problems(register, tally, table)
    tally.finish()


def _held(check: OwnCheck) -> Iterator[Problem]:
    check.hold()
    yield from ()


def _as_far_as_it_goes(register: Register, part: Iterator[Problem]) -> Iterator[Problem]:
    """Where damage ends one part of the check, the others are done all the same."""
    try:
        with register.engine.attempt():
            yield from part
    except RegisterUnusable as damage:
        yield Problem(table="(file)", sentence=str(damage))


def _total(register: Register) -> int:
    """Rows to be looked at; nought where they cannot be counted, which the check itself will say."""
    try:
        return sum(register.rows(f'SELECT count(*) FROM "{table}"')[0][0] for table in ("journal", *TABLES))
    except RegisterUnusable:
        return 0
