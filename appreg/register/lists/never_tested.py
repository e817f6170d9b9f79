"""Items in service whose test is asked for and that never passed one."""

from collections.abc import Sequence
from typing import Final

from appreg.core.values.uids import Uid
from appreg.register.lists.counting_inspections import STANDING
from appreg.register.opening.register_file import Register

_AT_ONCE: Final = 500
"""Items asked about in one query."""
NEVER_TESTED: Final = (
    "NOT EXISTS (SELECT 1 FROM inspection i WHERE i.appliance = a.uid AND i.kind = 'combined' "
    f"AND i.outcome = 'pass' AND {STANDING})"
)
"""Of an item a: no combined inspection and test of it that counts has passed."""
_DATED_LATE: Final = f"""
    SELECT a.uid FROM appliance d{{board}} {{few_first}} appliance a ON a.ordinal = d.ordinal
    WHERE d.next_test <= d.last_date AND {NEVER_TESTED}
    AND a.next_test > (SELECT min(i."date") FROM inspection i WHERE i.appliance = a.uid AND {STANDING})"""


def dated_late(register: Register) -> str:
    """Asks for first tests that versions before had due since the last visual inspection, and not since the first."""
    dialect = register.dialect
    return _DATED_LATE.format(board=dialect.by_index("appliance_board"), few_first=dialect.few_first)


def never_tested(register: Register, items: Sequence[Uid]) -> frozenset[Uid]:
    """Those of the items that never passed a combined inspection and test."""
    found: set[Uid] = set()
    for start in range(0, len(items), _AT_ONCE):
        test, parameters = register.dialect.among("a.uid", items[start : start + _AT_ONCE])
        found.update(
            Uid(item)
            for (item,) in register.rows(f"SELECT a.uid FROM appliance a WHERE {test} AND {NEVER_TESTED}", parameters)
        )
    return frozenset(found)
