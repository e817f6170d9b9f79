"""The chain of the journal: hybrid logical time, canonical JSON, and the hash that ties each row to the one before."""

import json
import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from hashlib import sha256
from json.encoder import encode_basestring as quoted
from types import NoneType
from typing import TYPE_CHECKING, Any, Final

from msgspec import Struct

from appreg.clock import Clock
from appreg.errors import PUT_BACK, RegisterUnusable
from appreg.register.journal.journal_ends import HEAD, ends_apart, heads, latest_time
from appreg.register.journal.sealed_lines import SEALED
from appreg.register.schema.record_codec import Cell, canonical

if TYPE_CHECKING:
    from appreg.register.engine.engine import Ask
    from appreg.register.opening.register_file import Register

COLUMNS: Final = (
    "origin", "sequence", "time", "who", "reason", "entity", "uid", "before", "after", "change", "previous_hash", "hash",
)  # fmt: skip
"""The journal's columns; the last is the hash of all the others."""
_NAMES: Final = ", ".join(f'"{name}"' for name in COLUMNS)
INSERT: Final = f"INSERT INTO journal ({_NAMES}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"
SELECT: Final = f"SELECT {_NAMES} FROM journal"
_SEQUENCE: Final = COLUMNS.index("sequence")
_TIME: Final = COLUMNS.index("time")
_ENTITY: Final = COLUMNS.index("entity")
BRANCH: Final = "~"
"""Stands between the origin of a chain that was written twice and the mark of one of its branches."""
SEEN: Final = "seen"
"""What a row tells of that notes where all other chains end."""
AUTHOR: Final = "appreg"
"""Who the journal names for changes that the program makes of its own accord."""
_SEEN_REASON: Final = "what this place has seen"
MERGED: Final = "merge"
"""The reason of lines that a merge writes: what follows from all lines together, where nobody decided anything."""
FIRST_HASH: Final = "0" * 64
"""What stands before the first row of an origin."""

_MAY_BE_NOTHING: Final = ("before", "after")
_TYPES: Final = tuple(
    (str, int, str, str, str, str, str, before, after, str, str, str)
    for before in (str, NoneType)
    for after in (str, NoneType)
)
"""What the columns of a row hold."""
_EPOCH: Final = datetime(1970, 1, 1, tzinfo=UTC)
_COUNTER: Final = 6
Noted = tuple[str, str | None, str | None]
"""A row's key with its fields before and after, canonical JSON."""
_IS_COUNTER: Final = re.compile(rf"[0-9a-f]{{{_COUNTER}}}").fullmatch


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


def is_stamp(text: str) -> bool:
    """Tell whether a text is a stamp."""
    return _is_instant(text[:-_COUNTER]) and _IS_COUNTER(text[-_COUNTER:]) is not None


@lru_cache(maxsize=8)
def _is_instant(text: str) -> bool:
    """Lines written together share it."""
    try:
        read_stamp(text + "0" * _COUNTER)
    except ValueError:
        return False
    return True


def odd_column(row: Sequence[Any]) -> str:
    """The first column of a row that holds something else than any version of the program writes; empty: none."""
    if tuple(map(type, row)) in _TYPES:
        return ""
    kinds = _TYPES[0]
    return next(
        name
        for name, cell, kind in zip(COLUMNS, row, kinds, strict=True)
        if type(cell) is not kind and not (cell is None and name in _MAY_BE_NOTHING)
    )


def row_hash(row: Sequence[Any]) -> str:
    """SHA-256 over the canonical JSON of a row's columns without its own hash, by name."""
    return sha256(_content(row).encode("utf-8", "surrogatepass")).hexdigest()


def _content(row: Sequence[Any]) -> str:
    """The same text as record_codec.canonical makes of columns that hold what they should, put together at the speed of bulk loading."""
    origin, sequence, time, who, reason, entity, uid, before, after, change, previous = row[:11]
    if "~" in origin:
        origin = origin_of(origin)
    return (
        f'{{"after":{_json(after)},"before":{_json(before)},"change":{_json(change)},"entity":{_json(entity)},'
        f'"origin":{_json(origin)},"previous_hash":{_json(previous)},"reason":{_json(reason)},'
        f'"sequence":{sequence},"time":{_json(time)},"uid":{_json(uid)},"who":{_json(who)}}}'
    )


def _json(text: str | None) -> str:
    return "null" if text is None else quoted(text)


class Chain(Struct, kw_only=True):
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
    unseen: dict[str, str] = {}
    """Where all other chains end, while this one has not noted that; the next row has to be that note."""

    def begin(self) -> None:
        """Take the present time for the rows that follow; always later than the last, whatever the clock says."""
        # A millisecond of its own for each change lets the keys made in it start there.
        self.milliseconds, self.counter = max(self.clock(), self.milliseconds + 1), -1
        self.instant = stamp(self.milliseconds, 0)[:-_COUNTER]

    def tie(
        self, *, who: str, reason: str, change: str, entity: str, uid: str, before: str | None, after: str | None
    ) -> tuple[Cell, ...]:
        """The next row of the journal."""
        time, previous = self._next_time(), self.hash
        row = (self.origin, self.sequence, time, who, reason, entity, uid, before, after, change, previous)
        self.hash = row_hash(row)
        return (*row, self.hash)

    def tie_many(
        self, noted: Iterable[Noted], *, who: str, reason: str, change: str, entity: str
    ) -> list[tuple[Cell, ...]]:
        """The next rows, as tie() makes each, of many records of one kind: what all have alike is written as JSON once."""
        changed = f',"change":{quoted(change)},"entity":{quoted(entity)},"origin":{quoted(origin_of(self.origin))},'
        reasoned, by = f'","reason":{quoted(reason)},"sequence":', f',"who":{quoted(who)}}}'
        rows: list[tuple[Cell, ...]] = []
        for uid, before, after in noted:
            time, previous = self._next_time(), self.hash
            content = (
                f'{{"after":{_json(after)},"before":{_json(before)}{changed}"previous_hash":"{previous}'
                f'{reasoned}{self.sequence},"time":"{time}","uid":{quoted(uid)}{by}'
            )
            self.hash = sha256(content.encode("utf-8", "surrogatepass")).hexdigest()
            rows.append(
                (self.origin, self.sequence, time, who, reason, entity, uid, before, after, change, previous, self.hash)
            )
        return rows

    def _next_time(self) -> str:
        """The time of the next row, which is counted."""
        self.sequence += 1
        self.counter += 1
        self.written += 1
        if self.counter >> (4 * _COUNTER):
            self.milliseconds, self.counter = self.milliseconds + 1, 0
            self.instant = stamp(self.milliseconds, 0)[:-_COUNTER]
        return f"{self.instant}{self.counter:0{_COUNTER}x}"

    def tie_seen(self, change: str) -> tuple[Cell, ...]:
        """The row that notes where the other chains end; its number is past all of theirs, as its time is."""
        seen, self.unseen = self.unseen, {}
        self.sequence = max(self.sequence, *(line_of(end) for end in seen.values()))
        return self.tie(
            who=AUTHOR, reason=_SEEN_REASON, change=change, entity=SEEN, uid=self.origin, before=None, after=canonical(seen),
        )  # fmt: skip

    def go_back(self, end: "Chain") -> None:
        """Take off the rows tied since it ended there."""
        for name in self.__struct_fields__:
            setattr(self, name, getattr(end, name))

    @property
    def head(self) -> tuple[str, str]:
        """The register_meta row that remembers this end of the chain."""
        return HEAD + self.origin, f"{self.sequence} {self.hash}"


def take_up(ask: "Ask", origin: str, clock: Clock) -> Chain:
    """Read the end of an origin's chain from the register; raises RegisterUnusable where nothing may be tied to it.

    Without an origin, and where that one was written twice, it is a new chain, which has to be given an origin once its
    first change has begun.
    """
    ends = heads(ask)
    if any(own.startswith(f"{origin_of(origin)}{BRANCH}") for own in ends):
        origin = ""
    others = {own: str(noted) for own, noted in ends.items() if own != origin}
    chain, times = Chain(origin=origin, clock=clock), []
    if origin:
        last = _sound_end(ask, origin, ends)
        chain.sequence, chain.hash, times = last[_SEQUENCE], last[-1], [last[_TIME]]
    chain.unseen = _unseen(ask, origin, ends, others)
    try:
        chain.milliseconds, chain.counter = read_stamp(latest_time(ask, others, *times) or "")
    except (ValueError, TypeError):
        raise _not_saved("ends at a line without a time") from None
    return chain


def _unseen(ask: "Ask", origin: str, ends: Mapping[str, object], others: dict[str, str]) -> dict[str, str]:
    """All other ends where this chain has not noted each of them; whoever notes an end looks at it first."""
    if not others:
        return {}
    seen = last_seen(ask, origin) if origin else {}
    news = [own for own, end in others.items() if seen.get(own) != end]
    for own in news:
        _sound_end(ask, own, ends)
    for own, end in seen.items():
        # Of a chain that was written twice either branch may have been meant.
        held = others.get(own, "")
        if line_of(held) < line_of(end) and not any(each.startswith(f"{origin_of(own)}{BRANCH}") for each in ends):
            raise _not_saved(f"of {own} ends at line {line_of(held)}, where line {line_of(end)} was seen")
    return others if news else {}


def last_seen(ask: "Ask", origin: str) -> dict[str, str]:
    """Where the other chains ended when this one noted it last."""
    rows = ask('SELECT "after" FROM journal WHERE entity = ? AND uid = ? ORDER BY time DESC LIMIT 1', (SEEN, origin))
    return read_seen(rows[0][0]) if rows else {}


def read_seen(cell: object) -> dict[str, str]:
    """What a note of other chains' ends holds; nothing where it cannot be read, which `verify` says."""
    try:
        seen = json.loads(cell) if isinstance(cell, str) else None
    except ValueError:
        seen = None
    return {own: end for own, end in seen.items() if isinstance(end, str)} if isinstance(seen, dict) else {}


def line_of(end: str) -> int:
    """The number of the line in a note of where a chain ends; 0 where it is none."""
    line = end.partition(" ")[0]
    return int(line) if line.isdecimal() and len(line) < len(str(1 << 63)) else 0


def origin_of(chain: str) -> str:
    """The origin that stands in the lines of a chain: of a branch, the part before its mark."""
    return chain.partition(BRANCH)[0]


def require_sound_end(register: "Register") -> None:
    """Raise RegisterUnusable where nothing could be saved as the journal ends; before work whose result has to be saved."""
    ends = heads(register.rows)
    for origin in {register.origin, *ends}:
        _sound_end(register.rows, origin, ends)


def _sound_end(ask: "Ask", origin: str, ends: Mapping[str, object]) -> tuple[Any, ...]:
    """The last line, which is the one that the register remembers and was not altered.

    Saving would write the note anew, and nobody could tell any more that lines were cut off or altered.
    """
    last = next(iter(ask(f"{SELECT} WHERE origin = ? ORDER BY sequence DESC LIMIT 1", (origin,))), None)
    if fault := ends_apart(None if last is None else (last[_SEQUENCE], last[-1]), ends.get(origin)):
        raise _not_saved(fault)
    if last is not None and last[_ENTITY] == SEALED and not odd_column(last):
        return last  # its contents are elsewhere
    if last is None or odd_column(last) or row_hash(last) != last[-1]:
        raise _not_saved(f"ends at line {last and last[_SEQUENCE]}, which was altered")
    return last


def _not_saved(fault: str) -> RegisterUnusable:
    return RegisterUnusable(f"The register's journal {fault}; nothing is saved, so run `appreg verify`; {PUT_BACK}.")
