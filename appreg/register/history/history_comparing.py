"""What a register has that a copy has not: the changes since, by the journal."""

import sqlite3
from datetime import date
from enum import StrEnum
from typing import Any, Final

from msgspec import Struct

from appreg.core.values.dates_in_words import date_words
from appreg.register.engine.file_engine import asking
from appreg.register.history.half_filled import half_filled
from appreg.register.journal.journal_ends import JournalEnd, heads, journal_end
from appreg.register.schema.record_codec import is_day

MOST_NAMED: Final = 5
"""Records named of those that a copy lacks."""


class Standing(StrEnum):
    """How a copy stands to the register it is to replace."""

    SAME = "the same"
    EARLIER = "earlier"
    LATER = "later"
    """It goes on where the register ends."""
    APART = "another history"
    """Both went on differently from some line on."""
    FOREIGN = "another register"


class Lacking(Struct, frozen=True, kw_only=True):
    """What would be missing from the register, were the copy put in its place."""

    standing: Standing
    since: int
    """The last line that both have."""
    lines: int
    changes: int
    inspections: int
    items: int
    """Items that the copy does not know."""
    half_filled: int
    """Half-filled benches that the copy does not hold as they are."""
    last_time: str
    last_who: str
    named: tuple[str, ...]
    """The first few items and inspections, as people know them."""


def lacking(register: sqlite3.Connection, copy: sqlite3.Connection) -> Lacking:
    """Compare two files that can be read; raises sqlite3.DatabaseError where one cannot."""
    present, other = journal_end(asking(register)), journal_end(asking(copy))
    standing, since = _standing(register, copy, present, other)
    after = _missing(register, copy) if standing is not Standing.FOREIGN else _ALL
    lines, changes = _row(
        register, f'SELECT count(*), count(DISTINCT "change") FROM journal j WHERE {after[0]}', after[1]
    )
    return Lacking(
        standing=standing,
        since=since,
        lines=lines,
        changes=changes,
        inspections=_new(register, "inspection", after),
        items=_new(register, "appliance", after),
        half_filled=len(half_filled(register) - half_filled(copy)),
        last_time=present.time if lines else "",
        last_who=present.who if lines else "",
        named=_named(register, after),
    )


def _standing(
    register: sqlite3.Connection, copy: sqlite3.Connection, present: JournalEnd, other: JournalEnd
) -> tuple[Standing, int]:
    if present.origin != other.origin:
        return Standing.FOREIGN, 0
    ends = {origin: (_line_at_end(register, origin), _line_at_end(copy, origin)) for origin in _chains(register, copy)}
    ahead = behind = apart = False
    since = 0
    for origin, (own, theirs) in ends.items():
        shared = min(own, theirs)
        if shared and _hash_at(register, origin, shared) != _hash_at(copy, origin, shared):
            apart, shared = True, _last_shared(register, copy, origin, shared)
        ahead, behind, since = ahead or own > theirs, behind or theirs > own, max(since, shared)
    if apart or (ahead and behind):
        return Standing.APART, since
    if ahead:
        return Standing.EARLIER, since
    return (Standing.LATER if behind else Standing.SAME), since


def _chains(*files: sqlite3.Connection) -> set[str]:
    return {origin for file in files for origin in heads(asking(file))} | {
        journal_end(asking(file)).origin for file in files
    }


def _line_at_end(connection: sqlite3.Connection, origin: str) -> int:
    (line,) = _row(connection, "SELECT max(sequence) FROM journal WHERE origin = ?", (origin,))
    return int(line or 0)


_Condition = tuple[str, tuple[Any, ...]]
"""Which lines of the journal, with the parameters."""


_ALL: Final[_Condition] = ("j.sequence > ?", (0,))


def _missing(register: sqlite3.Connection, copy: sqlite3.Connection) -> _Condition:
    """The lines of the register that the copy has not: of each chain those after the last that both have."""
    parts: list[str] = []
    parameters: list[Any] = []
    for origin in sorted(_chains(register)):
        shared = min(_line_at_end(register, origin), _line_at_end(copy, origin))
        if shared and _hash_at(register, origin, shared) != _hash_at(copy, origin, shared):
            shared = _last_shared(register, copy, origin, shared)
        parts.append("(j.origin = ? AND j.sequence > ?)")
        parameters += [origin, shared]
    return f"({' OR '.join(parts)})", tuple(parameters)


def _last_shared(register: sqlite3.Connection, copy: sqlite3.Connection, origin: str, differing: int) -> int:
    """Each hash holds all lines before it: where two agree, everything up to there agrees.

    Numbers that neither has stand for the line before them.
    """
    agreeing = 0
    while differing - agreeing > 1:
        middle = (agreeing + differing) // 2
        if _hash_at(register, origin, middle) == _hash_at(copy, origin, middle):
            agreeing = middle
        else:
            differing = middle
    return agreeing


def _hash_at(connection: sqlite3.Connection, origin: str, line: int) -> str:
    found = connection.execute(
        "SELECT hash FROM journal WHERE origin = ? AND sequence <= ? ORDER BY sequence DESC LIMIT 1", (origin, line)
    ).fetchone()
    return "" if found is None else str(found[0])


def _new(register: sqlite3.Connection, entity: str, after: _Condition) -> int:
    (count,) = _row(
        register,
        f'SELECT count(*) FROM journal j WHERE {after[0]} AND j.entity = ? AND j."before" IS NULL',
        (*after[1], entity),
    )
    return int(count)


def _named(register: sqlite3.Connection, after: _Condition) -> tuple[str, ...]:
    """An item counts as new by its own line, before any inspection of it."""
    rows = register.execute(
        "SELECT a.tag, a.name, i.date, i.outcome FROM journal j "
        "LEFT JOIN inspection i ON j.entity = 'inspection' AND i.uid = j.uid "
        "JOIN appliance a ON a.uid = CASE j.entity WHEN 'inspection' THEN i.appliance ELSE j.uid END "
        f"WHERE {after[0]} AND j.entity IN ('appliance', 'inspection') AND j.\"before\" IS NULL "
        "ORDER BY j.sequence LIMIT ?",
        (*after[1], MOST_NAMED),
    ).fetchall()
    return tuple(
        f"{tag} {name}: {'added' if on is None else f'inspected {_day_words(on)}, {outcome}'}"
        for tag, name, on, outcome in rows
    )


def _day_words(cell: Any) -> str:
    """What stands there where it is no date: a damaged register is the one that is restored."""
    return date_words(date.fromisoformat(cell)) if is_day(cell) else str(cell)


def _row(connection: sqlite3.Connection, statement: str, parameters: tuple[Any, ...]) -> tuple[Any, ...]:
    row: tuple[Any, ...] = connection.execute(statement, parameters).fetchone()
    return row
