"""Windows on long lists: the seats of all rows in order, and the few rows on the screen by seat."""

from array import array
from collections.abc import Sequence
from datetime import date
from enum import StrEnum
from typing import Any, Final

from appreg.core.appliances import ApplianceClass, EquipmentType, ServiceState
from appreg.core.lean_dataclasses import dataclass
from appreg.core.outcomes import Outcome
from appreg.core.uids import Uid
from appreg.register.appliance_lists import place_tests
from appreg.register.record_codec import is_day
from appreg.register.register_file import Register
from appreg.register.search import text_test
from appreg.register.tag_sorting import by_tag, by_tag_columns, tag_columns


class View(StrEnum):
    """Which list a window looks on."""

    ITEMS = "items"
    DUE = "due"
    """One row for each date of an item in service."""


ITEM_COLUMNS: Final = (
    "tag", "name", "class", "type", "site", "location", "last_date", "outcome", "next_visual", "next_test", "state",
)  # fmt: skip
DUE_COLUMNS: Final = (
    "due", "what", "tag", "name", "site", "location", "class", "type", "environment", "last_date",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class RowFilter:
    """What a list is kept to; each field left empty keeps everything."""

    site: Uid | None = None
    location: Uid | None = None
    category: Uid | None = None
    states: tuple[ServiceState, ...] | None = None
    outcome: Outcome | None = None
    """Latest result."""
    never: bool = False
    """Only items never inspected."""
    text: str = ""
    """Words as typed."""
    until: date | None = None
    """Due list: dates up to and including this day."""


DAMAGED: Final = "damaged"
"""Stands in a cell that no version of the program writes, and for the outcome of such an item."""
_OUTCOME: Final = ITEM_COLUMNS.index("outcome")
_LONGEST_CELL: Final = 1_000
_EVERYTHING: Final = RowFilter()
_SORTS: Final = {
    "name": "a.name COLLATE NOCASE",
    "class": "a.appliance_class",
    "type": "a.equipment_type",
    "site": "s.name COLLATE NOCASE",
    "location": "l.name COLLATE NOCASE",
    "last_date": "a.last_date",
    "outcome": "a.last_outcome",
    "next_visual": "a.next_visual",
    "next_test": "a.next_test",
    "state": "a.state",
    "due": "due",
    "what": "what",
    "environment": "coalesce(nullif(l.environment, ''), s.environment)",
}
_NULLABLE: Final = frozenset({"last_date", "outcome", "next_visual", "next_test"})
_PLACES: Final = {
    "site": " LEFT JOIN site s ON s.uid = a.site",
    "location": " LEFT JOIN location l ON l.uid = a.location",
    "environment": " LEFT JOIN site s ON s.uid = a.site LEFT JOIN location l ON l.uid = a.location",
}
_OWN: Final = frozenset({"due", "what", "tag"})
"""Columns of the due list that each of its halves gives by name."""
_WHAT: Final = ("visual", "test")


def ordered_rowids(
    register: Register,
    *,
    view: View = View.ITEMS,
    sort: str = "",
    descending: bool = False,
    filter: RowFilter = _EVERYTHING,  # noqa: A002
    limit: int | None = None,
) -> "array[int]":
    """The seats of a list's rows in order; sort is a column's name, by default tag, or due for the due list."""
    key = sort or ("due" if view is View.DUE else "tag")
    columns = DUE_COLUMNS if view is View.DUE else ITEM_COLUMNS
    if key not in columns:
        raise ValueError(key)
    seats, parameters = (_due_seats if view is View.DUE else _item_seats)(key, filter)
    statement = f"{seats} ORDER BY {_order(view, key, descending=descending)}"
    if limit is not None:
        statement += f" LIMIT {int(limit)}"
    return array("q", (row[0] for row in register.stream(statement, parameters)))


def rows_by_rowid(register: Register, ids: Sequence[int], *, view: View = View.ITEMS) -> list[tuple[str, ...]]:
    """The rows at some seats, as texts in the order of the seats; dates are ISO, what is absent is empty."""
    due = view is View.DUE
    found = {row[0]: row for row in _joined(register, {seat // 2 if due else seat for seat in ids})}
    rows = []
    for seat in ids:
        row = found.get(seat // 2 if due else seat)
        if row is not None:
            rows.append(_due_texts(row, _WHAT[seat % 2]) if due else _item_texts(row))
        else:
            rows.append(("",) * len(DUE_COLUMNS if due else ITEM_COLUMNS))
    return rows


def uids_by_rowid(register: Register, ids: Sequence[int], *, view: View = View.ITEMS) -> list[Uid]:
    """The appliances at some seats, in the order of the seats; those removed meanwhile are left out."""
    seats = [seat // 2 for seat in ids] if view is View.DUE else list(ids)
    found: dict[int, Uid] = {}
    wanted = list(dict.fromkeys(seats))
    for start in range(0, len(wanted), 500):
        part = wanted[start : start + 500]
        found.update(
            register.rows(f"SELECT ordinal, uid FROM appliance WHERE ordinal IN ({', '.join('?' * len(part))})", part)
        )
    return [found[seat] for seat in seats if seat in found]


def rowid_of(register: Register, uid: Uid) -> int | None:
    """The seat of an appliance in the list of items; None when it is not there."""
    rows = register.rows("SELECT ordinal FROM appliance WHERE uid = ?", (uid,))
    return rows[0][0] if rows else None


def _order(view: View, key: str, *, descending: bool) -> str:
    due = view is View.DUE
    if key == "tag":
        return by_tag_columns(descending=descending) if due else by_tag("a.tag", descending=descending)
    expression = _SORTS[key]
    if due:
        expression = key if key in _OWN else "sorted"
    terms = [f"{expression} IS NULL"] if key in _NULLABLE else []
    terms.append(expression + (" DESC" if descending else ""))
    terms.append(by_tag_columns() if due else by_tag("a.tag"))
    return ", ".join(terms)


def _item_seats(key: str, wanted: RowFilter) -> tuple[str, list[str]]:
    tests, parameters = _tests(wanted)
    where = f" WHERE {' AND '.join(tests)}" if tests else ""
    return f"SELECT a.ordinal FROM appliance a{_PLACES.get(key, '')}{where}", parameters


def _due_seats(key: str, wanted: RowFilter) -> tuple[str, list[str]]:
    tests, parameters = _tests(wanted)
    parts = []
    bound: list[str] = []
    for place, what in enumerate(_WHAT):
        column = f"a.next_{what}"
        end = f"{column} IS NOT NULL" if wanted.until is None else f"{column} <= ?"
        conditions = " AND ".join(["a.state = 'in service'", end, *tests])
        extra = "" if key in _OWN else f", {_SORTS[key]} AS sorted"
        parts.append(
            f"SELECT a.ordinal * 2 + {place} AS seat, {column} AS due, '{what}' AS what, a.tag AS tag, "
            f"{tag_columns('a.tag')}{extra} FROM appliance a{_PLACES.get(key, '')} WHERE {conditions}"
        )
        bound.extend([*([] if wanted.until is None else [wanted.until.isoformat()]), *parameters])
    both = " UNION ALL ".join(parts)
    return (both if key in _OWN else f"SELECT * FROM ({both})"), bound


def _tests(wanted: RowFilter) -> tuple[list[str], list[str]]:
    tests, parameters = place_tests(site=wanted.site, location=wanted.location, states=wanted.states, alias="a")
    for column, value in (("category", wanted.category), ("last_outcome", wanted.outcome)):
        if value is not None:
            tests.append(f"a.{column} = ?")
            parameters.append(str(value))
    if wanted.never:
        tests.append("a.state = 'in service' AND a.last_date IS NULL")
    if wanted.text.strip():
        test, words = text_test(wanted.text)
        tests.append(test)
        parameters.extend(words)
    return tests, parameters


def _joined(register: Register, seats: set[int]) -> list[tuple[Any, ...]]:
    rows: list[tuple[Any, ...]] = []
    wanted = sorted(seats)
    for start in range(0, len(wanted), 500):
        part = wanted[start : start + 500]
        rows += register.rows(
            "SELECT a.ordinal, a.tag, a.name, a.appliance_class, a.equipment_type, s.name, l.name, a.last_date, "
            "a.last_outcome, a.next_visual, a.next_test, a.state, coalesce(nullif(l.environment, ''), s.environment) "
            "FROM appliance a LEFT JOIN site s ON s.uid = a.site LEFT JOIN location l ON l.uid = a.location "
            f"WHERE a.ordinal IN ({', '.join('?' * len(part))})",
            part,
        )
    return rows


def _item_texts(row: tuple[Any, ...]) -> tuple[str, ...]:
    _, tag, name, appliance_class, equipment_type, site, location, last, outcome, visual, test, state, _ = row
    cells = (
        _short(tag), _short(name), _label(ApplianceClass, appliance_class), _label(EquipmentType, equipment_type),
        _short(site), _short(location), _day(last), _member(Outcome, outcome), _day(visual), _day(test),
        _member(ServiceState, state) or DAMAGED,
    )  # fmt: skip
    if DAMAGED not in cells:
        return cells
    # Whatever its last outcome says, an item of which something cannot be read has not passed.
    return (*cells[:_OUTCOME], DAMAGED, *cells[_OUTCOME + 1 :])


def _due_texts(row: tuple[Any, ...], what: str) -> tuple[str, ...]:
    _, tag, name, appliance_class, equipment_type, site, location, last, _, visual, test, _, environment = row
    due = visual if what == "visual" else test
    return (
        _day(due), what, _short(tag), _short(name), _short(site), _short(location),
        _label(ApplianceClass, appliance_class), _label(EquipmentType, equipment_type), _short(environment), _day(last),
    )  # fmt: skip


def _label(kind: type[ApplianceClass | EquipmentType], cell: Any) -> str:
    try:
        return kind(cell).label
    except ValueError:
        return DAMAGED


def _member(kind: type[Outcome | ServiceState], cell: Any) -> str:
    try:
        return "" if cell is None else kind(cell).value
    except ValueError:
        return DAMAGED


def _day(cell: object) -> str:
    if cell is None:
        return ""
    return str(cell) if is_day(cell) else DAMAGED


def _short(cell: object) -> str:
    """A text as far as a list could ever show it; what is missing or no text is damaged."""
    return cell[:_LONGEST_CELL] if isinstance(cell, str) else DAMAGED
