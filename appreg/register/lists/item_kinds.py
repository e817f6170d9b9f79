"""What interval tables go by, grouped: how many items of a kind stand where; and what blocks go by."""

from typing import Any, Final

from msgspec import Struct

from appreg.core.records.appliances import ApplianceClass, EquipmentType, RcdMounting
from appreg.core.records.kept_records import Appliance, InspectionKind
from appreg.core.records.work_records import ItemMovement, Movement
from appreg.core.rules.interval_tables import EquipmentKey
from appreg.core.values.uids import Uid
from appreg.register.journal.journal_ends import place_column
from appreg.register.lists.counting_inspections import INSPECTION_PLACE, STANDING
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_codec import is_day
from appreg.register.schema.record_kinds import kind_of

_APPLIANCE: Final = kind_of(Appliance)
_MOVEMENT: Final = kind_of(ItemMovement)
_KINDS: Final = frozenset(kind.value for kind in InspectionKind)


class ItemKind(Struct, frozen=True, kw_only=True):
    """Items in service at one location that an interval table cannot tell apart."""

    site: Uid
    location: Uid
    key: EquipmentKey
    items: int


class PassedInspection(Struct, frozen=True, kw_only=True):
    """A passed inspection of one item."""

    uid: Uid
    appliance: Uid
    kind: InspectionKind
    place: str
    """In the journal; it sorts as text."""
    on: str
    """ISO 8601."""
    site: Uid
    """Where the visit was."""


def item_kinds(register: Register, *, site: Uid | None = None, never: bool = False) -> list[ItemKind]:
    """The kinds of items in service, with their numbers, by location; only those never inspected where asked."""
    here, parameters = _at(site)
    if never:
        here += " AND last_date IS NULL"
    rows = register.rows(
        "SELECT site, location, appliance_class, equipment_type, battery, rcd_mounting, count(*) FROM appliance "
        f"WHERE state = 'in service'{here} GROUP BY 1, 2, 3, 4, 5, 6",
        parameters,
    )
    return [
        ItemKind(site=Uid(where), location=Uid(location), key=key, items=items)
        for where, location, *facts, items in rows
        if (key := _key(*facts)) is not None
    ]


def items_of_kind(register: Register, kind: ItemKind) -> list[Appliance]:
    """The items in service of one kind at its location, by tag."""
    key, state = kind.key, register.dialect.unindexed("state")
    rows = register.rows(
        f"SELECT {_APPLIANCE.columns} FROM appliance WHERE location = ? AND {state} = 'in service' "
        "AND appliance_class = ? AND equipment_type = ? AND battery = ? "
        f"AND rcd_mounting {'IS NULL' if key.rcd_mounting is None else '= ?'} ORDER BY tag_key",
        (
            kind.location,
            key.appliance_class.value,
            key.equipment_type.value,
            int(key.battery),
            *(() if key.rcd_mounting is None else (key.rcd_mounting.value,)),
        ),
    )
    return _APPLIANCE.codec.decode_all(rows, register.damage.note_record)


def items_let_anew(register: Register, *, site: Uid | None = None) -> list[Appliance]:
    """The items in service of which a change of tenancy was ever recorded, by tag."""
    here, parameters = _at(site)
    rows = register.rows(
        f"SELECT {_APPLIANCE.columns} FROM appliance WHERE uid IN (SELECT appliance FROM item_movement "
        f"WHERE movement = ?) AND state = 'in service'{here} ORDER BY tag_key",
        (Movement.TENANCY.value, *parameters),
    )
    return _APPLIANCE.codec.decode_all(rows, register.damage.note_record)


def passes_at(register: Register, *, site: Uid | None = None, appliance: Uid | None = None) -> list[PassedInspection]:
    """The passed inspections of the items now at a site, or of one item, in the journal's order; corrections counted."""
    here, parameters = _at(site, "a.site")
    if appliance is not None:
        here, parameters = " AND i.appliance = ?", (appliance,)
    rows = register.rows(
        f'SELECT i.appliance, i.kind, {INSPECTION_PLACE}, i."date", v.site, i.uid FROM inspection i '
        f"JOIN appliance a ON a.uid = i.appliance JOIN visit v ON v.uid = i.visit "
        f"WHERE i.outcome = 'pass'{here} AND {STANDING} ORDER BY 3, i.uid",
        parameters,
    )
    return [
        PassedInspection(
            uid=Uid(uid), appliance=Uid(item), kind=InspectionKind(kind), place=place, on=on, site=Uid(where)
        )
        for item, kind, place, on, where, uid in rows
        # What cannot be read proves no pass, and so lifts no block.
        if kind in _KINDS and is_day(on)
    ]


class PlacedMovement(Struct, frozen=True, kw_only=True):
    """A movement with its place in the journal."""

    movement: ItemMovement
    place: str


def movements_at(register: Register, *, site: Uid | None = None, appliance: Uid | None = None) -> list[PlacedMovement]:
    """The movements of the items now at a site, or of one item, oldest first."""
    columns = ", ".join(f'm."{name}"' for name in _MOVEMENT.codec.names)
    here, parameters = _at(site, "a.site")
    if appliance is not None:
        here, parameters = " AND m.appliance = ?", (appliance,)
    rows = register.rows(
        f"SELECT {columns}, coalesce({place_column('item_movement', 'm.uid')}, '~') AS place "
        f'FROM item_movement m JOIN appliance a ON a.uid = m.appliance WHERE 1 = 1{here} ORDER BY m."on", place, m.uid',
        parameters,
    )
    return [
        PlacedMovement(movement=movement, place=place)
        for *cells, place in rows
        for movement in _MOVEMENT.codec.decode_all([cells], register.damage.note_record)
    ]


def _at(site: Uid | None, column: str = "site") -> tuple[str, tuple[str, ...]]:
    return ("", ()) if site is None else (f" AND {column} = ?", (site,))


def _key(*facts: Any) -> EquipmentKey | None:
    """None for items whose class, type or mounting no version of the program writes; they are told where they are read."""
    appliance_class, equipment_type, battery, mounting = facts
    try:
        return EquipmentKey(
            appliance_class=ApplianceClass(appliance_class),
            equipment_type=EquipmentType(equipment_type),
            battery=bool(battery),
            rcd_mounting=RcdMounting(mounting) if mounting else None,
        )
    except ValueError:
        return None
