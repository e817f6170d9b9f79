"""What is due, counted by place and category, so that groups of any kind can be summed up from few rows."""

from collections.abc import Iterator
from datetime import date

from appreg.core.lean_dataclasses import dataclass
from appreg.core.uids import Uid
from appreg.register.register_file import Register


@dataclass(frozen=True, slots=True, kw_only=True)
class DueTally:
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


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemTally:
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
            f"SELECT site, location, category, substr({column}, 1, 7), {each} {column} < :today), "
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
