"""A file that is to stand in for a register, looked at without changing it, and checked from end to end."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

from appreg.clock import Clock, system_clock
from appreg.errors import RegisterUnusable
from appreg.files import BESIDE
from appreg.progress import Progress
from appreg.register.checking.checking import problems
from appreg.register.engine.file_engine import asking
from appreg.register.engine.register_errors import sentences
from appreg.register.engine.register_problems import Problem
from appreg.register.history.half_filled import half_filled
from appreg.register.journal.journal_ends import JournalEnd, heads, journal_end
from appreg.register.journal.uid_source import UidSource
from appreg.register.opening.copying import copy_whole, draft_in
from appreg.register.opening.migrations import bring_up_to_date
from appreg.register.opening.register_file import open_register
from appreg.register.schema.file_marks import applied, is_current


@contextmanager
def as_it_stands(path: Path) -> Iterator[sqlite3.Connection]:
    """A connection that reads a file and leaves it, and what stands beside it, as they are.

    Raises RegisterUnusable where the file is no register, or a newer program's.
    """
    if not path.is_file():
        raise RegisterUnusable(f"There is no file {path}; `appreg restore --list` shows the kept copies.")
    beside = any(path.with_name(path.name + end).exists() for end in BESIDE)
    uri = f"{path.absolute().as_uri()}?mode=ro{'' if beside else '&immutable=1'}"
    with sentences(path), closing(sqlite3.connect(uri, uri=True, isolation_level=None)) as connection:
        is_current(path, connection)
        if not applied(connection):
            raise RegisterUnusable(f"{path} holds no register; choose another file.")
        yield connection


def end_of_file(path: Path) -> JournalEnd:
    """Where the journal of a register's file ends; raises RegisterUnusable."""
    with as_it_stands(path) as connection:
        return journal_end(asking(connection))


def half_filled_in(path: Path) -> frozenset[tuple[Any, ...]]:
    """The half-filled benches in a register's file; raises RegisterUnusable."""
    with as_it_stands(path) as connection:
        return half_filled(connection)


def copy_problems(copy: Path, progress: Progress | None = None) -> tuple[Problem, ...]:
    """Everything wrong with a copy that is not in use; raises RegisterUnusable where it is no register.

    A copy of an older version is checked as what it becomes when it is opened.
    """
    with as_it_stands(copy) as connection:
        current = is_current(copy, connection)
        if not current:
            with draft_in(copy.parent, "scratch") as scratch:
                copy_whole(connection, copy, scratch)
                return _migrated_problems(scratch, progress)
    return _problems(copy, progress)


def _migrated_problems(scratch: Path, progress: Progress | None) -> tuple[Problem, ...]:
    bring_draft_up_to_date(scratch)
    return _problems(scratch, progress)


def bring_draft_up_to_date(draft: Path, clock: Clock = system_clock) -> None:
    """Take a private copy of an older version to today's tables; nothing is kept of it first."""
    with sentences(draft), closing(sqlite3.connect(draft, isolation_level=None)) as connection:
        bring_up_to_date(draft, connection, clock, UidSource(clock).new_uid, keep_copy=False)


def chains_in(path: Path) -> tuple[str, ...]:
    """The chains of the journal in a register's file; raises RegisterUnusable."""
    with as_it_stands(path) as connection:
        return tuple(heads(asking(connection)))


def _problems(path: Path, progress: Progress | None) -> tuple[Problem, ...]:
    with open_register(path, create=False) as register:
        return tuple(problems(register, progress))
