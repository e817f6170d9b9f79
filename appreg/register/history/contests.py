"""Fields that people in several places left at different values, none of whom knew of the other's."""

from typing import Any

from msgspec import Struct

from appreg.register.history.told_record import Write, told_of
from appreg.register.journal.journal_ends import time_words
from appreg.register.journal.seen_lines import SeenLines, has_several
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_codec import Cell
from appreg.register.schema.record_kinds import JOURNALLED, KINDS_BY_TABLE

_AT_ONCE = 500
_SHARED = "SELECT uid FROM journal WHERE entity = ? GROUP BY uid HAVING min(origin) <> max(origin) ORDER BY uid"


class ContestedValue(Struct, frozen=True, kw_only=True):
    """One of the values."""

    value: Any
    """As the record has it."""
    cell: Cell
    """As it is kept."""
    who: str
    time: str
    """Hybrid logical time of the line."""
    chain: str
    line: int

    @property
    def when(self) -> str:
        """When it was written, to the minute, by the clock of that place."""
        return time_words(self.time)


class Contest(Struct, frozen=True, kw_only=True):
    """A field of a record with the values that were written without knowledge of one another."""

    table: str
    uid: str
    field: str
    called: str
    """The record as people know it."""
    values: tuple[ContestedValue, ...]
    """The last is the one that stands."""

    @property
    def mark(self) -> str:
        """What a person calls it by: the end of the record's key, and the field."""
        return f"{self.uid[-6:]}.{self.field}"

    @property
    def stands(self) -> ContestedValue:
        """The value that the record has now: the latest by the clocks."""
        return self.values[-1]


def contests_in(register: Register) -> tuple[Contest, ...]:
    """All that nobody has settled yet, in the order of tables and keys."""
    if not has_several(register.rows):
        return ()
    seen = SeenLines(register.rows)
    found: list[Contest] = []
    for table in JOURNALLED:
        shared = [uid for (uid,) in register.rows(_SHARED, (table,))]
        for at in range(0, len(shared), _AT_ONCE):
            found += _among(register, seen, table, shared[at : at + _AT_ONCE])
    return tuple(found)


def contests_of(register: Register, table: str, uid: str) -> tuple[Contest, ...]:
    """Those of one record."""
    return tuple(_among(register, SeenLines(register.rows), table, [uid]))


def _among(register: Register, seen: SeenLines, table: str, uids: list[str]) -> list[Contest]:
    kind = KINDS_BY_TABLE[table]
    return [
        Contest(
            table=table,
            uid=uid,
            field=field,
            called=_called(record.last_row, kind.caption),
            values=tuple(_value(table, field, write) for write in writes),
        )
        for uid, record in told_of(register, seen, kind, uids)
        for field, writes in record.contests()
    ]


def _value(table: str, field: str, write: Write) -> ContestedValue:
    line = write.line
    return ContestedValue(
        value=KINDS_BY_TABLE[table].codec.decode_value(field, write.value),
        cell=write.value, who=line.who, time=line.time, chain=line.mark.chain, line=line.mark.line,
    )  # fmt: skip


def _called(row: dict[str, Cell], caption: str) -> str:
    named = row.get("tag") or row.get("name") or ""
    return f"{caption} {named}".rstrip()
