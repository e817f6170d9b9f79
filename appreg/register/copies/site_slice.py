"""Every record of one site, with the place in the order of recording of each, read out of the tables as they stand."""

from collections.abc import Iterable, Mapping
from typing import Any, Final

from msgspec import Struct

from appreg.core.records.kept_records import Category, Client, Record, Site
from appreg.core.records.planning_records import KeptPlan
from appreg.core.records.work_records import IntervalOverride
from appreg.core.values.uids import Uid
from appreg.register.journal.journal_ends import place_column
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_kinds import KINDS, Kind, kind_of

_ITEMS: Final = "SELECT uid FROM appliance WHERE site = :site"
_BY_FIELD: Final = {
    "appliance": f"appliance IN ({_ITEMS})",
    "inspection": f"inspection IN (SELECT uid FROM inspection WHERE appliance IN ({_ITEMS}))",
    "site": "site = :site",
    "visit": "visit IN (SELECT uid FROM visit WHERE site = :site)",
}
"""By the field that says whose a record is: the condition that it is the site's."""
_BY_KIND: Final[Mapping[type[Any], str]] = {
    Client: "uid IN (SELECT client FROM site WHERE uid = :site)",
    Site: "uid = :site",
    Category: "uid IN (SELECT category FROM appliance WHERE site = :site)",
    IntervalOverride: f"target IN ({_ITEMS} UNION SELECT uid FROM location WHERE site = :site "
    "UNION SELECT category FROM appliance WHERE site = :site)",
}
_WHOSE: Final = ("person", "instrument", "crew")
"""Tables of what several sites have in common, named by the fields that refer to them."""


class PlacedRecords(Struct, frozen=True, kw_only=True):
    """The records of one kind, oldest in the journal first."""

    records: tuple[Any, ...]
    places: tuple[str, ...]
    """The time of the first line of each; empty for a kind that has none."""


def site_slice(register: Register, site: Uid, kinds: Iterable[type[Record]]) -> dict[type[Any], PlacedRecords]:
    """The records of the site of each of these kinds; raises RegisterUnusable for one that cannot be read."""
    return {kind: _placed(register, site, kind_of(kind)) for kind in kinds}


def count_of_site(register: Register, site: Uid, kind: type[Record]) -> int:
    """How many records of a kind the site has."""
    own = kind_of(kind)
    ((count,),) = register.rows(f'SELECT count(*) FROM "{own.table}" WHERE {_condition(own)}', {"site": site})
    return int(count)


def _placed(register: Register, site: Uid, kind: Kind[Any]) -> PlacedRecords:
    own = f'"{kind.table}"'
    rows = register.rows(
        f"SELECT {kind.columns}, {place_column(kind.table, f'{own}.uid')} AS placed FROM {own} WHERE {_condition(kind)} "
        "ORDER BY placed, uid",
        {"site": site},
    )
    return PlacedRecords(
        records=tuple(kind.codec.decode_all([row[:-1] for row in rows])), places=tuple(row[-1] or "" for row in rows)
    )


def _condition(kind: Kind[Any]) -> str:
    if kind.record in _BY_KIND:
        return _BY_KIND[kind.record]
    if kind.table in _WHOSE:
        named = [each for each in KINDS.values() if kind.table in each.codec.names and each.record is not KeptPlan]
        parts = [f'SELECT "{kind.table}" FROM "{each.table}" WHERE {_condition(each)}' for each in named]
        return f"uid IN ({' UNION '.join(parts)})"
    field = next((each for each in _BY_FIELD if each in kind.codec.names), None)
    if field is None:
        raise TypeError(f"{kind.record.__name__} belongs to no site")
    return _BY_FIELD[field]
