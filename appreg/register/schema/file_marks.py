"""How a register's file is told from others, and which steps it has been through."""

import sqlite3
from pathlib import Path
from typing import Final

from appreg.errors import PUT_BACK, RegisterUnusable

APPLICATION_ID: Final = 0x41505247
"""Marks the file as a register of this program (the letters APRG)."""
NEWEST: Final = 18
"""The number of the last migration this version knows."""
INSTEAD: Final = f"{PUT_BACK}; or move it away to begin anew"
"""What to do where a file stands that holds nothing."""
_HALF_DONE_END: Final = ".restoring"
HANDED_NOTE: Final = "handed over"
"""The register_meta key of a file that was handed over: it is read only."""


def half_done_note(register: Path) -> Path:
    """The note that stands beside a register while a restore moves it aside."""
    return register.with_name(register.name + _HALF_DONE_END)


def refuse_half_done(register: Path) -> None:
    """Raise RegisterUnusable where there is no register because a restore was cut short."""
    if half_done_note(register).exists():
        raise RegisterUnusable(
            f"A restore was cut short while {register} was moved aside; `appreg restore --list` puts it back."
        )


def applied(connection: sqlite3.Connection) -> set[int]:
    """The numbers of the migrations that a register has been through."""
    if not connection.execute("SELECT 1 FROM sqlite_master WHERE name = 'migration'").fetchone():
        return set()
    return {number for (number,) in connection.execute("SELECT number FROM migration")}


def is_current(path: Path, connection: sqlite3.Connection) -> bool:
    """Tell whether nothing is left to migrate; raises RegisterUnusable for all that is no whole register."""
    (mark,) = connection.execute("PRAGMA application_id").fetchone()
    if mark != APPLICATION_ID:
        (tables,) = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
        if mark or tables:
            raise RegisterUnusable(f"{path} is a database of another program; choose another file.")
        raise RegisterUnusable(f"{path} is an empty database and no register; {INSTEAD}.")
    done = applied(connection)
    if not done:
        raise RegisterUnusable(f"The register {path} is damaged (its tables are gone); {PUT_BACK}.")
    if not all(type(number) is int for number in done):
        raise RegisterUnusable(f"The list of steps that {path} has been through is damaged; {PUT_BACK}.")
    if max(done) > NEWEST:
        raise RegisterUnusable(f"{path} was written by a newer appreg; install that version to open it.")
    return done == set(range(1, NEWEST + 1))
