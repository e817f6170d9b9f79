"""Windows on long lists: the seats of all rows in order, and the few rows on the screen by seat."""

from array import array
from collections.abc import Callable, Sequence
from enum import StrEnum
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from msgspec import Struct

from appreg.core.records.appliances import ApplianceClass, EquipmentType, ServiceState
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid
from appreg.register.lists.appliance_lists import place_tests
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_codec import is_day

if TYPE_CHECKING:
    from appreg.register.engine.engine import Dialect

DAMAGED: Final = "damaged"
"""Stands in a cell that no version of the program writes, and for the outcome of such an item."""
_LONGEST_CELL: Final = 1_000
_AT_ONCE: Final = 500
"""Rows asked for in one query."""


class RowFilter(Struct, frozen=True, kw_only=True):
    """What a list is kept to; each field left empty keeps everything."""

    site: Uid | None = None
    location: Uid | None = None
    category: Uid | None = None
    states: tuple[ServiceState, ...] | None = None
    outcome: Outcome | None = None
    """Latest result."""
    never: bool = False
    """Only items never inspected."""


_EVERYTHING: Final = RowFilter()


def _short(cell: object) -> str:
    """A text as far as a list could ever show it; what is missing or no text is damaged."""
    return cell[:_LONGEST_CELL] if isinstance(cell, str) else DAMAGED


def _day(cell: object) -> str:
    if cell is None:
        return ""
    return str(cell) if is_day(cell) else DAMAGED


def _class(cell: Any) -> str:
    try:
        return ApplianceClass(cell).label
    except ValueError:
        return DAMAGED


def _type(cell: Any) -> str:
    try:
        return EquipmentType(cell).label
    except ValueError:
        return DAMAGED


def _outcome(cell: Any) -> str:
    return "" if cell is None else _member(Outcome, cell)


def _state(cell: Any) -> str:
    return _member(ServiceState, cell)


def _member(kind: type[StrEnum], cell: Any) -> str:
    try:
        return str(kind(cell).value)
    except ValueError:
        return DAMAGED


class ItemColumn(NamedTuple):
    """One column of the list of items: what is read, how it is told, what it is sorted by."""

    cell: str
    words: Callable[[Any], str]
    folded: bool = False
    """Sorted with small and capital letters alike."""
    absent: bool = False
    """May hold nothing, which stands last whichever way the list is sorted."""


_COLUMNS: Final = {
    "tag": ItemColumn("a.tag", _short),
    "name": ItemColumn("a.name", _short, folded=True),
    "class": ItemColumn("a.appliance_class", _class),
    "type": ItemColumn("a.equipment_type", _type),
    "site": ItemColumn("s.name", _short, folded=True),
    "location": ItemColumn("l.name", _short, folded=True),
    "last_date": ItemColumn("a.last_date", _day, absent=True),
    "outcome": ItemColumn("a.last_outcome", _outcome, absent=True),
    "next_visual": ItemColumn("a.next_visual", _day, absent=True),
    "next_test": ItemColumn("a.next_test", _day, absent=True),
    "state": ItemColumn("a.state", _state),
}
ITEM_COLUMNS: Final = tuple(_COLUMNS)
_CELLS: Final = ", ".join(column.cell for column in _COLUMNS.values())
_PLACES: Final = {
    "site": " LEFT JOIN site s ON s.uid = a.site",
    "location": " LEFT JOIN location l ON l.uid = a.location",
}
_EVERY_PLACE: Final = "".join(_PLACES.values())


def ordered_rowids(
    register: Register,
    *,
    sort: str = "tag",
    descending: bool = False,
    filter: RowFilter = _EVERYTHING,  # noqa: A002
    limit: int | None = None,
) -> "array[int]":
    """The seats of items in order; sort is a column's name, empty for the tag."""
    key = sort or "tag"
    if key not in _COLUMNS:
        raise ValueError(key)
    tests, parameters = _tests(register.dialect, filter)
    where = f" WHERE {' AND '.join(tests)}" if tests else ""
    order = _order(register.dialect, key, descending=descending)
    statement = f"SELECT a.ordinal FROM appliance a{_PLACES.get(key, '')}{where} ORDER BY {order}{_limited(limit)}"
    asked = register.stream if limit is None else register.rows
    return array("q", (row[0] for row in asked(statement, parameters)))


def rows_by_rowid(register: Register, ids: Sequence[int], *, plain: bool = False) -> list[tuple[str, ...]]:
    """The items at some seats, as texts in the order of the seats; dates are ISO, what is absent is empty.

    `plain`: class and type as files have them, not as people write them.
    """
    found: dict[int, tuple[str, ...]] = {}
    for part in _parts(ids):
        test, parameters = register.dialect.among("a.ordinal", part)
        rows = register.rows(f"SELECT a.ordinal, {_CELLS} FROM appliance a{_EVERY_PLACE} WHERE {test}", parameters)
        found.update((seat, _texts(dict(zip(_COLUMNS, cells, strict=True)), plain=plain)) for seat, *cells in rows)
    gone = ("",) * len(_COLUMNS)
    return [found.get(seat, gone) for seat in ids]


def uids_by_rowid(register: Register, ids: Sequence[int]) -> list[Uid]:
    """The items at some seats, in the order of the seats; those removed meanwhile are left out."""
    found: dict[int, Uid] = {}
    for part in _parts(ids):
        test, parameters = register.dialect.among("ordinal", part)
        found.update(register.rows(f"SELECT ordinal, uid FROM appliance WHERE {test}", parameters))
    return [found[seat] for seat in ids if seat in found]


def rowid_of(register: Register, uid: Uid) -> int | None:
    """The seat of an appliance in the list of items; None when it is not there."""
    rows = register.rows("SELECT ordinal FROM appliance WHERE uid = ?", (uid,))
    return rows[0][0] if rows else None


def _parts(ids: Sequence[int]) -> list[list[int]]:
    wanted = list(dict.fromkeys(ids))
    return [wanted[start : start + _AT_ONCE] for start in range(0, len(wanted), _AT_ONCE)]


def _limited(limit: int | None) -> str:
    return "" if limit is None else f" LIMIT {int(limit)}"


def _order(dialect: "Dialect", key: str, *, descending: bool) -> str:
    if key == "tag":
        return "a.tag_key DESC" if descending else "a.tag_key"
    column = _COLUMNS[key]
    terms = [f"{column.cell} IS NULL"] if column.absent else []
    terms.append((dialect.folded(column.cell) if column.folded else column.cell) + (" DESC" if descending else ""))
    return ", ".join([*terms, "a.tag_key"])


def _tests(dialect: "Dialect", wanted: RowFilter) -> tuple[list[str], list[str]]:
    tests, parameters = place_tests(
        dialect, site=wanted.site, location=wanted.location, states=wanted.states, alias="a"
    )
    for column, value in (("category", wanted.category), ("last_outcome", wanted.outcome)):
        if value is not None:
            tests.append(f"a.{column} = ?")
            parameters.append(str(value))
    if wanted.never:
        tests.append("a.state = 'in service' AND a.last_date IS NULL")
    return tests, parameters


def _texts(cells: dict[str, Any], *, plain: bool) -> tuple[str, ...]:
    texts = {name: _COLUMNS[name].words(cell) for name, cell in cells.items()}
    for name in ("class", "type") if plain else ():
        texts[name] = cells[name] if texts[name] != DAMAGED else DAMAGED
    if DAMAGED in texts.values():
        # Whatever its last outcome says, an item of which something cannot be read has not passed.
        texts["outcome"] = DAMAGED
    return tuple(texts.values())
