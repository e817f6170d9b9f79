"""What falls due: rows by date, items never inspected, and counts by site."""

from array import array
from collections.abc import Iterator, Sequence
from datetime import date
from typing import Any, Final, Literal

from msgspec import Struct

from appreg.core.records.kept_records import Appliance
from appreg.core.values.uids import Uid
from appreg.register.lists.appliance_lists import place_tests
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_codec import is_day
from appreg.register.schema.record_kinds import kind_of

_KIND: Final = kind_of(Appliance)
_MONTHS: Final = 12

What = Literal["visual", "test"]
"""Which of an item's two dates falls due."""


class Counts(Struct, frozen=True, kw_only=True):
    """How the items of a site stand; each item is counted once in a column."""

    items: int = 0
    """All but those disposed of."""
    in_service: int = 0
    overdue: int = 0
    """In service, either date before today."""
    overdue_inspections: int = 0
    """The dates before today of these: an item may wait for a visual inspection and for a test."""
    oldest_overdue: date | None = None
    """The earliest of these dates."""
    soon: int = 0
    """In service, not overdue, either date within the time asked for."""
    soon_inspections: int = 0
    """The dates within the time asked for of all in service."""
    failed: int = 0
    """Latest result a failure, in service or withdrawn."""
    never: int = 0
    """In service, never inspected."""
    withdrawn: int = 0
    disposed: int = 0
    """Not among the items."""
    damaged: int = 0
    """What is said of them may be wrong; they may stand in any column or in none."""

    @property
    def overdue_share(self) -> int | None:
        """How many in a hundred of the items in service are overdue, rounded up; None where none is in service."""
        return -(-100 * self.overdue // self.in_service) if self.in_service else None


_NONE: Final = Counts()
_OVERDUE: Final = "{} < :today"
"""Of a date: overdue today, as `schedule.due_states.is_overdue` has it."""
_LATE: Final = f"({_OVERDUE.format('next_visual')} OR {_OVERDUE.format('next_test')})"
"""Of an item in service: overdue today."""


def due_rows(register: Register, *, until: date, site: Uid | None = None) -> list[tuple[Appliance, What, date]]:
    """Items in service with a date up to and including a day, earliest first; an item may stand in two rows."""
    parts = []
    parameters: list[str] = []
    for what in ("visual", "test"):
        here = "" if site is None else " AND site = ?"
        parts.append(
            f"SELECT next_{what} AS due, '{what}' AS what, tag_key, {_KIND.columns} FROM appliance "
            f"WHERE state = 'in service' AND next_{what} <= ?{here}"
        )
        parameters.extend([until.isoformat(), *([] if site is None else [site])])
    rows = register.rows(f"{' UNION ALL '.join(parts)} ORDER BY due, tag_key, what DESC", parameters)
    return [
        (item, what, date.fromisoformat(due))
        for due, what, _, *cells in rows
        for item in _KIND.codec.decode_all([cells], register.damage.note_record)
    ]


def first_due_rows(
    register: Register, *, until: date, site: Uid | None = None, limit: int
) -> list[tuple[Appliance, What, date]]:
    """The first of due_rows, as quick as there are few of them."""
    seats = due_seats(register, until=until, site=site, limit=limit)
    test, parameters = register.dialect.among("ordinal", [seat // 2 for seat in seats])
    found = {
        ordinal: item
        for ordinal, *cells in register.rows(f"SELECT ordinal, {_KIND.columns} FROM appliance WHERE {test}", parameters)
        for item in _KIND.codec.decode_all([cells], register.damage.note_record)
    }
    rows: list[tuple[Appliance, What, date]] = []
    for seat in seats:
        item = found.get(seat // 2)
        what: What = "test" if seat % 2 else "visual"
        due = (item.next_test if what == "test" else item.next_visual) if item else None
        if item is not None and due is not None:
            rows.append((item, what, due))
    return rows


def due_seats(register: Register, *, until: date, site: Uid | None = None, limit: int | None = None) -> "array[int]":
    """A seat for each date of items in service up to a day, earliest first; twice the item's, and one more for its test."""
    tests, parameters = place_tests(register.dialect, site=site, location=None, states=None, alias="a")
    here = "".join(f" AND {test}" for test in tests)
    # Each half is cut short by itself, as its index gives it in order; no database does that for both together.
    few = "" if limit is None else f" ORDER BY due, tag_key LIMIT {int(limit)}"
    halves = [
        f"SELECT * FROM (SELECT a.ordinal * 2 + {place} AS seat, a.next_{what} AS due, a.tag_key AS tag_key "
        f"FROM appliance a WHERE a.state = 'in service' AND a.next_{what} <= ?{here}{few}) AS half"
        for place, what in enumerate(("visual", "test"))
    ]
    cut = "" if limit is None else f" LIMIT {int(limit)}"
    rows = register.rows(
        f"SELECT seat FROM ({' UNION ALL '.join(halves)}) AS dates ORDER BY due, tag_key, seat{cut}",
        [until.isoformat(), *parameters] * len(halves),
    )
    return array("q", (row[0] for row in rows))


def count_dates(register: Register, *, today: date, until: date, site: Uid | None = None) -> tuple[int, int]:
    """How many dates of items in service are overdue, and how many others lie up to and including a day."""
    here, own = ("", {}) if site is None else (" AND site = :site", {"site": site})
    counts = []
    for column in ("next_visual", "next_test"):
        counted = f"(SELECT count(*) FROM appliance WHERE state = 'in service'{here} AND"
        counts += [f"{counted} {_OVERDUE.format(column)})", f"{counted} {column} BETWEEN :today AND :until)"]
    days = {"today": today.isoformat(), "until": until.isoformat()}
    ((late_looks, looks, late_tests, tests),) = register.rows(f"SELECT {', '.join(counts)}", {**days, **own})
    return late_looks + late_tests, looks + tests


_NEAR: Final = "(next_visual <= :until OR next_test <= :until)"
_COUNTED: Final = f"count(*) FILTER (WHERE {_LATE}), count(*) FILTER (WHERE {_LATE} IS NOT TRUE)"


def count_items(register: Register, *, today: date, until: date, site: Uid | None = None) -> tuple[int, int]:
    """How many items in service are overdue, and how many others have a date up to and including a day."""
    here = "" if site is None else " AND site = :site"
    board = register.dialect.by_index("appliance_board")
    ((late, near),) = register.rows(
        f"SELECT {_COUNTED} FROM appliance{board} WHERE state = 'in service' AND {_NEAR}{here}",
        {"today": today.isoformat(), "until": until.isoformat(), **({} if site is None else {"site": site})},
    )
    return late, near


def count_withdrawn(register: Register, *, site: Uid | None = None) -> int:
    """How many items are taken out of service."""
    here, own = ("", ()) if site is None else (" AND site = ?", (site,))
    count: int = register.rows(f"SELECT count(*) FROM appliance WHERE state = 'withdrawn'{here}", own)[0][0]
    return count


def never_inspected(register: Register, *, site: Uid | None = None) -> list[Appliance]:
    """Items in service without any inspection, by tag."""
    here = "" if site is None else " AND site = ?"
    rows = register.rows(
        f"SELECT {_KIND.columns} FROM appliance WHERE state = 'in service' AND last_date IS NULL{here} "
        f"ORDER BY tag_key",
        () if site is None else (site,),
    )
    return _KIND.codec.decode_all(rows, register.damage.note_record)


def counts_by_site(register: Register, *, today: date, soon: date, site: Uid | None = None) -> dict[Uid, Counts]:
    """The counts of every site, or of one; a site without items included."""
    here = "" if site is None else "WHERE site = :site"
    asked = ", ".join(f"{sum_of} FILTER (WHERE {what})" for sum_of, what in _BY_SITE)
    rows = register.rows(
        f"SELECT site, {asked} FROM appliance {here} GROUP BY site",
        {"today": today.isoformat(), "soon": soon.isoformat(), "site": site},
    )
    found = {Uid(place): _counts_in(cells) for place, *cells in rows}
    return {uid: found.get(uid, _NONE) for uid in _sites(register, site)}


_SERVING: Final = "state = 'in service'"
_EACH: Final = "count(*)"
_BY_SITE: Final = (
    (_EACH, "state <> 'disposed'"),
    (_EACH, _SERVING),
    (_EACH, f"{_SERVING} AND {_LATE}"),
    (_EACH, f"{_SERVING} AND {_LATE} IS NOT TRUE AND (next_visual <= :soon OR next_test <= :soon)"),
    (_EACH, "state IN ('in service', 'withdrawn') AND last_outcome = 'fail'"),
    (_EACH, f"{_SERVING} AND last_date IS NULL"),
    (_EACH, "state = 'withdrawn'"),
    (_EACH, "state = 'disposed'"),
    *(
        (sum_of, f"{_SERVING} AND {test}")
        for column in ("next_visual", "next_test")
        for sum_of, test in (
            (_EACH, _OVERDUE.format(column)),
            (_EACH, f"{column} BETWEEN :today AND :soon"),
            (f"min({column})", _OVERDUE.format(column)),
        )
    ),
)
"""What is counted of a site's items, in the order in which _counts_in takes it."""


def _counts_in(cells: Sequence[Any]) -> Counts:
    items, serving, late, near, failed, never, withdrawn, disposed, *by_date = cells
    late_looks, near_looks, first_look, late_tests, near_tests, first_test = by_date
    # A damaged date is told by damaged_items.
    days = [date.fromisoformat(day) for day in (first_look, first_test) if day is not None and is_day(day)]
    return Counts(
        items=items,
        in_service=serving,
        overdue=late,
        overdue_inspections=late_looks + late_tests,
        oldest_overdue=min(days, default=None),
        soon=near,
        soon_inspections=near_looks + near_tests,
        failed=failed,
        never=never,
        withdrawn=withdrawn,
        disposed=disposed,
    )


def due_by_month(register: Register, today: date) -> dict[Uid, list[int]]:
    """For every site, how many items have a date in each of twelve months, this month (from today) first."""
    last = _month_number(today.isoformat()) + _MONTHS - 1
    end = f"{last // 12:04d}-{last % 12 + 1:02d}-31"
    # Of its own accord SQLite takes appliance_visual, which lacks next_test: a look into the table for every item.
    board = register.dialect.by_index("appliance_board")
    rows = register.rows(
        f"""SELECT site, substr(next_test, 1, 7) AS month, count(*) FROM appliance
            WHERE state = 'in service' AND next_test BETWEEN :today AND :end GROUP BY site, month
        UNION ALL SELECT site, substr(next_visual, 1, 7) AS month, count(*) FROM appliance{board}
            WHERE state = 'in service' AND next_visual BETWEEN :today AND :end
            AND (next_test IS NULL OR {_OVERDUE.format("next_test")} OR substr(next_test, 1, 7) <> substr(next_visual, 1, 7))
            GROUP BY site, month""",
        {"today": today.isoformat(), "end": end},
    )
    months = {uid: [0] * _MONTHS for uid in _sites(register)}
    for place, month, count in rows:
        # A damaged date or place is told by damaged_items; here it only must not stop the others.
        if place in months and is_day(f"{month}-01"):
            months[Uid(place)][_month_number(month) - last + _MONTHS - 1] += count
    return months


def _sites(register: Register, only: Uid | None = None) -> list[Uid]:
    return [Uid(uid) for (uid,) in register.rows("SELECT uid FROM site")] if only is None else [only]


def _month_number(text: str) -> int:
    return int(text[:4]) * 12 + int(text[5:7]) - 1


class DueTally(Struct, frozen=True, kw_only=True):
    """Dates of like items in one month."""

    site: Uid
    location: Uid
    category: Uid | None
    month: str
    """Year and month, ISO 8601."""
    overdue: int
    """Dates before today."""
    soon: int
    """From today up to and including the day that is soon."""
    coming: int
    """From today on."""


class DueItemsTally(Struct, frozen=True, kw_only=True):
    """Like items at one location with a date that is past or soon, each counted once."""

    site: Uid
    location: Uid
    category: Uid | None
    overdue: int
    soon: int
    """Not overdue, but soon."""


class ItemTally(Struct, frozen=True, kw_only=True):
    """Like items at one location, counted."""

    site: Uid
    location: Uid
    category: Uid | None
    items: int


def due_tallies(
    register: Register, *, today: date, soon: date, until: date, site: Uid | None = None
) -> Iterator[DueTally]:
    """The dates of items in service up to and including a day, each of an item's two dates for itself."""
    here, own = ("", {}) if site is None else (" AND site = :site", {"site": site})
    days = {"today": today.isoformat(), "soon": soon.isoformat(), "until": until.isoformat()}
    each = "count(*) FILTER (WHERE"
    for column in ("next_visual", "next_test"):
        rows = register.rows(
            f"SELECT site, location, category, substr({column}, 1, 7), {each} {_OVERDUE.format(column)}), "
            f"{each} {column} BETWEEN :today AND :soon), {each} {column} >= :today) FROM appliance "
            f"WHERE state = 'in service' AND {column} <= :until{here} GROUP BY 1, 2, 3, 4",
            {**days, **own},
        )
        for place, location, category, month, late, near, coming in rows:
            yield DueTally(
                site=Uid(place),
                location=Uid(location),
                category=Uid(category) if category else None,
                month=month,
                overdue=late,
                soon=near,
                coming=coming,
            )


def due_item_tallies(
    register: Register, *, today: date, soon: date, site: Uid | None = None
) -> Iterator[DueItemsTally]:
    """The items in service with a date up to and including a day, each once."""
    here, own = ("", {}) if site is None else (" AND site = :site", {"site": site})
    # Each date by its own index; what waits for both is counted with the first.
    for near in ("next_visual <= :until", "next_test <= :until AND (next_visual <= :until) IS NOT TRUE"):
        rows = register.rows(
            f"SELECT site, location, category, {_COUNTED} FROM appliance "
            f"WHERE state = 'in service' AND {near}{here} GROUP BY 1, 2, 3",
            {"today": today.isoformat(), "until": soon.isoformat(), **own},
        )
        for place, location, category, late, others in rows:
            yield DueItemsTally(
                site=Uid(place),
                location=Uid(location),
                category=Uid(category) if category else None,
                overdue=late,
                soon=others,
            )


_FIRST_DATE: Final = "CASE WHEN next_visual IS NULL OR next_test < next_visual THEN next_test ELSE next_visual END"
"""Of an item: the earlier of its two dates."""


def due_items_by_month(
    register: Register, *, today: date, soon: date, site: Uid | None = None
) -> list[tuple[str, int, int]]:
    """By the month of their first date, year and month of ISO 8601: items overdue, and others with a date up to a day."""
    here, own = ("", {}) if site is None else (" AND site = :site", {"site": site})
    board = register.dialect.by_index("appliance_board")
    rows = register.rows(
        f"SELECT substr({_FIRST_DATE}, 1, 7) AS month, {_COUNTED} FROM appliance{board} "
        f"WHERE state = 'in service' AND {_NEAR}{here} GROUP BY 1",
        {"today": today.isoformat(), "until": soon.isoformat(), **own},
    )
    return [(month, late, near) for month, late, near in rows]


def withdrawn_tallies(register: Register, *, site: Uid | None = None) -> Iterator[ItemTally]:
    """The items taken out of service."""
    here, own = ("", ()) if site is None else (" AND site = ?", (site,))
    rows = register.rows(
        f"SELECT site, location, category, count(*) FROM appliance WHERE state = 'withdrawn'{here} GROUP BY 1, 2, 3",
        own,
    )
    for place, location, category, items in rows:
        yield ItemTally(
            site=Uid(place), location=Uid(location), category=Uid(category) if category else None, items=items
        )
