"""The chain of the journal: hybrid logical time, canonical JSON, and the hash that ties each row to the one before."""

import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from json.encoder import encode_basestring as quoted
from typing import Any, Final

from appreg.clock import Clock
from appreg.register.journal_time import last_time
from appreg.register.record_codec import Cell, canonical

COLUMNS: Final = (
    "origin", "sequence", "time", "who", "reason", "entity", "uid", "before", "after", "change", "previous_hash", "hash",
)  # fmt: skip
"""The journal's columns; the last is the hash of all the others."""
_NAMES: Final = ", ".join(f'"{name}"' for name in COLUMNS)
INSERT: Final = f"INSERT INTO journal ({_NAMES}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"
SELECT: Final = f"SELECT {_NAMES} FROM journal"
FIRST_HASH: Final = "0" * 64
"""What stands before the first row of an origin."""
HEAD: Final = "head:"
"""Prefix of the register_meta key that holds the last sequence and hash of an origin."""

_EPOCH: Final = datetime(1970, 1, 1, tzinfo=UTC)
_COUNTER: Final = 6


def stamp(milliseconds: int, counter: int) -> str:
    """Hybrid logical time as text that sorts in time order."""
    instant = _EPOCH + timedelta(milliseconds=milliseconds)
    return f"{instant.isoformat(timespec='milliseconds')[:23]}Z-{counter:0{_COUNTER}x}"


def read_stamp(text: str) -> tuple[int, int]:
    """The milliseconds since 1970 and the counter of a stamp; raises ValueError when it is not one."""
    instant = datetime.fromisoformat(text[:23] + "+00:00")
    milliseconds = (instant - _EPOCH) // timedelta(milliseconds=1)
    counter = int(text[-_COUNTER:], 16)
    if stamp(milliseconds, counter) != text:
        raise ValueError(text)
    return milliseconds, counter


def row_hash(row: Sequence[Any]) -> str:
    """SHA-256 over the canonical JSON of a row's columns without its own hash, by name."""
    content = dict(zip(COLUMNS[:-1], row, strict=False))
    return sha256(canonical(content).encode("utf-8", "surrogatepass")).hexdigest()


def _json(text: str | None) -> str:
    return "null" if text is None else quoted(text)


@dataclass(slots=True)
class Chain:
    """The end of an origin's chain, to which the next rows are tied."""

    origin: str
    clock: Clock
    sequence: int = 0
    hash: str = FIRST_HASH
    milliseconds: int = 0
    counter: int = 0
    written: int = 0
    """Rows tied since this chain was taken up."""
    instant: str = ""
    """The milliseconds as a stamp has them."""

    def begin(self) -> None:
        """Take the present time for the rows that follow; always later than the last, whatever the clock says."""
        # A millisecond of its own for each change lets the keys made in it start there.
        self.milliseconds, self.counter = max(self.clock(), self.milliseconds + 1), -1
        self.instant = stamp(self.milliseconds, 0)[:-_COUNTER]

    def tie(
        self, *, who: str, reason: str, change: str, entity: str, uid: str, before: str | None, after: str | None
    ) -> tuple[Cell, ...]:
        """The next row of the journal."""
        self.sequence += 1
        self.counter += 1
        self.written += 1
        if self.counter >> (4 * _COUNTER):
            self.milliseconds, self.counter = self.milliseconds + 1, 0
            self.instant = stamp(self.milliseconds, 0)[:-_COUNTER]
        time = f"{self.instant}{self.counter:0{_COUNTER}x}"
        previous = self.hash
        # The same text as row_hash makes, put together at the speed of bulk loading.
        text = (
            f'{{"after":{_json(after)},"before":{_json(before)},"change":{_json(change)},"entity":{_json(entity)},'
            f'"origin":{_json(self.origin)},"previous_hash":"{previous}","reason":{_json(reason)},'
            f'"sequence":{self.sequence},"time":"{time}","uid":{_json(uid)},"who":{_json(who)}}}'
        )
        self.hash = sha256(text.encode()).hexdigest()
        return (
            self.origin, self.sequence, time, who, reason, entity, uid, before, after, change, previous, self.hash,
        )  # fmt: skip

    @property
    def head(self) -> tuple[str, str]:
        """The register_meta row that remembers this end of the chain."""
        return HEAD + self.origin, f"{self.sequence} {self.hash}"


def take_up(connection: sqlite3.Connection, origin: str, clock: Clock) -> Chain:
    """Read the end of an origin's chain from the register."""
    chain = Chain(origin, clock)
    last = connection.execute(
        "SELECT sequence, hash FROM journal WHERE origin = ? ORDER BY sequence DESC LIMIT 1", (origin,)
    ).fetchone()
    if last is not None:
        chain.sequence, chain.hash = last
    time = last_time(connection)
    if time is not None:
        chain.milliseconds, chain.counter = read_stamp(time)
    return chain
