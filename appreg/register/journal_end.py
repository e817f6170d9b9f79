"""Where a register's journal ends: by this two files of one register are told apart."""

import sqlite3

from appreg.core.lean_dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class JournalEnd:
    """The last line of the register's own journal."""

    origin: str
    line: int
    """0: nothing was ever written."""
    hash: str
    time: str
    """Hybrid logical time of that line."""
    who: str

    @property
    def time_in_words(self) -> str:
        """When the line was written, to the minute."""
        return time_words(self.time)


def journal_end(connection: sqlite3.Connection) -> JournalEnd:
    """Read it; raises sqlite3.DatabaseError where it cannot be."""
    found = connection.execute("SELECT value FROM register_meta WHERE key = 'origin'").fetchone()
    if found is None:
        raise sqlite3.DatabaseError("it has lost its origin")
    last = connection.execute(
        "SELECT sequence, hash, time, who FROM journal WHERE origin = ? ORDER BY sequence DESC LIMIT 1", found
    ).fetchone()
    line, own_hash, time, who = last or (0, "", "", "")
    return JournalEnd(origin=str(found[0]), line=int(line), hash=str(own_hash), time=str(time), who=str(who))


def time_words(stamp: str) -> str:
    """A journal's time as people read it."""
    return f"{stamp[:10]} {stamp[11:16]} UTC" if stamp else "never"
