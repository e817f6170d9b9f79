"""The items of which something came in with another register's lines, or what their dates follow from did."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from appreg.core.values.uids import Uid
from appreg.register.opening.register_file import Register

_AT_ONCE: Final = 500
_ITEMS: Final[Mapping[str, tuple[str, str]]] = {
    "appliance": ("SELECT uid FROM appliance", "uid"),
    "inspection": ("SELECT appliance FROM inspection", "uid"),
    "inspection_withdrawal": (
        "SELECT i.appliance FROM inspection_withdrawal w JOIN inspection i ON i.uid = w.inspection",
        "w.uid",
    ),
    "queued_label": ("SELECT appliance FROM queued_label", "uid"),
    "remedial_action": ("SELECT appliance FROM remedial_action", "uid"),
    "stated_inspection": ("SELECT appliance FROM stated_inspection", "uid"),
    "site": ("SELECT uid FROM appliance", "site"),
    "location": ("SELECT uid FROM appliance", "location"),
    "category": ("SELECT uid FROM appliance", "category"),
}
"""By table, the query of the items that its records belong to, and the column that its keys are looked for in."""
_OVERRIDDEN: Final = ("SELECT target FROM interval_override", "uid")


def items_touched(register: Register, touched: Mapping[str, Iterable[str]]) -> set[Uid]:
    """The keys of those items, by the keys of the records that came in."""
    found: set[str] = set()
    for table, query in _ITEMS.items():
        found |= _keys(register, query, sorted(touched.get(table, ())))
    targets = sorted(_keys(register, _OVERRIDDEN, sorted(touched.get("interval_override", ()))))
    for table in ("appliance", "category", "location"):
        found |= _keys(register, _ITEMS[table], targets)
    return {Uid(uid) for uid in found}


def _keys(register: Register, query: tuple[str, str], keys: Sequence[str]) -> set[str]:
    found: set[str] = set()
    for at in range(0, len(keys), _AT_ONCE):
        test, parameters = register.dialect.among(query[1], keys[at : at + _AT_ONCE])
        found |= {str(uid) for (uid,) in register.rows(f"{query[0]} WHERE {test}", parameters)}
    return found
