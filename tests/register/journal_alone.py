"""The last change, and the register as the journal alone tells it: worked out here once more, beside what `verify` does."""

import json
from collections.abc import Iterator
from typing import TypeVar

from msgspec import Struct

from appreg.core.records.kept_records import Record
from appreg.core.values.uids import Uid
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_codec import Cell
from appreg.register.schema.record_kinds import KINDS_BY_TABLE, kind_of

R = TypeVar("R", bound=Record)


class ChangeSummary(Struct, frozen=True, kw_only=True):
    """One change as a whole."""

    uid: Uid
    who: str
    reason: str
    time: str
    lines: int
    """Lines of the journal that belong to it."""


def last_change(register: Register, *, who: str | None = None) -> ChangeSummary | None:
    """The latest change made in this register, or the latest by one person; None when there is none."""
    latest = 'SELECT "change" FROM journal WHERE origin = ? ORDER BY sequence DESC LIMIT 1'
    parameters = [register.origin]
    if who is not None:
        latest = 'SELECT "change" FROM journal WHERE origin = ? AND who = ? ORDER BY sequence DESC LIMIT 1'
        parameters.append(Uid(who))
    rows = register.rows(
        f'SELECT "change", min(who), min(reason), min(time), count(*) FROM journal WHERE "change" = ({latest}) GROUP BY "change"',
        parameters,
    )
    if not rows:
        return None
    change, author, reason, time, lines = rows[0]
    return ChangeSummary(uid=Uid(change), who=author, reason=reason, time=time, lines=lines)


def rebuilt_rows(register: Register, entity: str) -> Iterator[tuple[str, dict[str, Cell]]]:
    """The rows of a table as the journal alone tells them, by key."""
    lines = register.stream('SELECT uid, "after" FROM journal WHERE entity = ? ORDER BY uid, time, sequence', (entity,))
    kind = KINDS_BY_TABLE.get(entity)
    added: dict[str, Cell] = dict(kind.added) if kind else {}
    current: str | None = None
    row: dict[str, Cell] | None = None
    for uid, after in lines:
        if uid != current:
            if current is not None and row is not None:
                yield current, row
            current, row = uid, None
        row = None if after is None else {**(row or added), **json.loads(after)}
    if current is not None and row is not None:
        yield current, row


def rebuilt_state(register: Register, kind: type[R]) -> list[R]:
    """The records of a kind as the journal alone tells them, oldest key first."""
    codec = kind_of(kind).codec
    return [
        codec.decode([uid, *(row.get(name) for name in codec.names[1:])])
        for uid, row in rebuilt_rows(register, kind_of(kind).table)
    ]
