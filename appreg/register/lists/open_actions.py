"""What waits to be put right, of many items at once."""

from collections.abc import Collection

from appreg.core.records.work_records import RemedialAction
from appreg.core.values.uids import Uid
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_kinds import kind_of


def open_actions_among(register: Register, items: Collection[Uid]) -> dict[Uid, list[RemedialAction]]:
    """The remedial actions of some items that no inspection has closed, by item."""
    kind = kind_of(RemedialAction)
    test, parameters = register.dialect.among("appliance", items)
    found: dict[Uid, list[RemedialAction]] = {}
    for row in register.rows(
        f'SELECT {kind.columns} FROM "{kind.table}" WHERE closed_by IS NULL AND {test}', parameters
    ):
        action = kind.codec.decode(row)
        found.setdefault(action.appliance, []).append(action)
    return found
