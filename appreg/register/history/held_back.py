"""What people decided of items where a merge held something back: a state while a failure stood, a label that was not the latest."""

from collections.abc import Collection, Iterator, Sequence
from typing import Any, Final

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance, QueuedLabel
from appreg.core.values.uids import Uid
from appreg.register.history.journal import read_cells
from appreg.register.history.told_record import ToldRecord, told_of
from appreg.register.journal.journal_chain import MERGED
from appreg.register.journal.seen_lines import SeenLines
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_kinds import Kind, kind_of

_AT_ONCE: Final = 500


def decided_states(register: Register, items: Sequence[Uid]) -> dict[Uid, ServiceState]:
    """The states that people left those of the items in of which a merge wrote something too."""
    kind = kind_of(Appliance)
    merged: list[str] = []
    for at in range(0, len(items), _AT_ONCE):
        test, parameters = register.dialect.among("uid", items[at : at + _AT_ONCE])
        merged += [
            str(uid)
            for (uid,) in register.rows(
                f"SELECT DISTINCT uid FROM journal WHERE entity = ? AND {test} AND reason = ?",
                [kind.table, *parameters, MERGED],
            )
        ]
    told = _told(register, kind, merged)
    return {Uid(uid): kind.codec.decode_value("state", record.decided("state")) for uid, record in told}


def labels_put_aside(register: Register, items: Collection[Uid]) -> dict[Uid, list[QueuedLabel]]:
    """The labels of those items that nobody but a merge took out, by item."""
    kind = kind_of(QueuedLabel)
    removed = register.rows(
        'SELECT uid, "before" FROM journal WHERE entity = ? AND reason = ? AND "after" IS NULL ORDER BY uid',
        (kind.table, MERGED),
    )
    among = set(items)
    mine = [str(uid) for uid, before in removed if read_cells(kind.table, uid, before).get("appliance") in among]
    found: dict[Uid, list[QueuedLabel]] = {}
    for uid, record in _told(register, kind, list(dict.fromkeys(mine))):
        if record.exists or not record.is_kept:
            continue
        row = {**record.last_row, "uid": uid}
        label: QueuedLabel = kind.codec.decode(tuple(row[name] for name in kind.codec.names))
        found.setdefault(label.appliance, []).append(label)
    return found


def _told(register: Register, kind: Kind[Any], uids: Sequence[str]) -> Iterator[tuple[str, ToldRecord]]:
    if not uids:
        return
    seen = SeenLines(register.rows)
    for at in range(0, len(uids), _AT_ONCE):
        yield from told_of(register, seen, kind, uids[at : at + _AT_ONCE])
