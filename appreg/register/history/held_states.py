"""What people made of the state of items that a merge held back while a failure stood."""

from collections.abc import Sequence
from typing import Final

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance
from appreg.core.values.uids import Uid
from appreg.register.history.told_record import told_of
from appreg.register.journal.journal_chain import MERGED
from appreg.register.journal.seen_lines import SeenLines
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_kinds import kind_of

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
    found: dict[Uid, ServiceState] = {}
    if not merged:
        return found
    seen = SeenLines(register.rows)
    for at in range(0, len(merged), _AT_ONCE):
        for uid, record in told_of(register, seen, kind, merged[at : at + _AT_ONCE]):
            found[Uid(uid)] = kind.codec.decode_value("state", record.decided("state"))
    return found
