"""The locations of a site with the counts of their items."""

from datetime import date

from msgspec import Struct

from appreg.core.values.uids import Uid
from appreg.register.opening.register_file import Register


class LocationCounts(Struct, frozen=True, kw_only=True):
    """Items at one location."""

    name: str
    items: int
    """Not disposed of."""
    overdue: int
    """In service, with either date before today."""
    failed: int
    """Last found to fail, and not disposed of."""
    never: int
    """In service and never inspected."""


def counts_by_location(register: Register, site: Uid, *, today: date) -> tuple[LocationCounts, ...]:
    """The locations of a site, those with most items overdue first, then those with most that failed."""
    each = "count(*) FILTER (WHERE"
    rows = register.rows(
        f"""SELECT location.name, {each} state <> 'disposed'),
            {each} state = 'in service' AND (next_visual < :today OR next_test < :today)),
            {each} state IN ('in service', 'withdrawn') AND last_outcome = 'fail'),
            {each} state = 'in service' AND last_date IS NULL)
        FROM location LEFT JOIN appliance ON appliance.location = location.uid
        WHERE location.site = :site GROUP BY location.uid, location.name""",
        {"today": today.isoformat(), "site": site},
    )
    counted = [
        LocationCounts(name=str(name), items=items, overdue=overdue, failed=failed, never=never)
        for name, items, overdue, failed, never in rows
    ]
    return tuple(sorted(counted, key=lambda each: (-each.overdue, -each.failed, -each.never, each.name.casefold())))
