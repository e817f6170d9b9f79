"""The end of a register's own journal as it is stored: its seal, the lines before it, and whether the note of it agrees."""

import sqlite3
from collections.abc import Collection
from typing import Final

from appreg.core.seals import Seal, seal_at
from appreg.register.register_errors import sentences
from appreg.register.register_file import Register

HEAD: Final = "head:"
"""Prefix of the register_meta key that holds the last sequence and hash of an origin."""
_LAST: Final = "SELECT sequence, hash FROM journal WHERE origin = ? ORDER BY sequence DESC LIMIT 1"


def present_seal(register: Register) -> Seal | None:
    """The seal of the last line that this register wrote, as stored; None where no such line can be read."""
    rows = register.rows(_LAST, (register.origin,))
    return _seal(*rows[0]) if rows else None


def seals_at(register: Register, positions: Collection[int]) -> frozenset[Seal]:
    """The seals, as stored, of those of its own lines."""
    marks = ", ".join("?" * len(positions))
    rows = register.rows(
        f"SELECT sequence, hash FROM journal WHERE origin = ? AND sequence IN ({marks})", (register.origin, *positions)
    )
    return frozenset(seal for row in rows if (seal := _seal(*row)) is not None)


def end_fault(register: Register) -> str:
    """As loose_end(), of an open register."""
    with sentences(register.path):
        return loose_end(register.connection, register.origin)


def loose_end(connection: sqlite3.Connection, origin: str) -> str:
    """How the last line and the note of it disagree, as the middle of a sentence; empty where they agree."""
    last = connection.execute(_LAST, (origin,)).fetchone()
    noted = connection.execute("SELECT value FROM register_meta WHERE key = ?", (HEAD + origin,)).fetchone()
    if last is not None and noted is not None and noted[0] == f"{last[0]} {last[1]}":
        return ""
    from appreg.register.cell_words import key_words  # noqa: PLC0415 - no sound register needs it

    ends = "has no line" if last is None else f"ends at line {key_words(last[0])}"
    remembered = key_words(str(noted[0]).partition(" ")[0]) if noted is not None else "nothing"
    if last is not None and remembered == str(last[0]):
        remembered = "another line of that number"
    return f"{ends}, but the register remembers {remembered}"


def _seal(position: object, whole_hash: object) -> Seal | None:
    if type(position) is int and isinstance(whole_hash, str):
        return seal_at(position, whole_hash)
    return None
