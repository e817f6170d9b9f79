"""The locations of a site with the counts of their items."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from msgspec.structs import replace

from appreg.core.records.appliances import ServiceState
from appreg.core.values.outcomes import Outcome
from appreg.register.lists.location_counts import LocationCounts, counts_by_location
from appreg.tasks.records.add_location import add_location
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, worked_site


@pytest.fixture
def here(tmp_path: Path) -> Iterator[WorkedSite]:
    with worked_site(tmp_path) as site:
        yield site


def test_items_are_counted_by_location_the_worst_first(here: WorkedSite) -> None:
    add_location(here.register, WHO, site=here.site.uid, name="Attic")
    yard = add_location(here.register, WHO, site=here.site.uid, name="Yard")
    items = [here.kettle() for _ in range(5)]
    failed = here.kettle()
    with here.register.change(WHO) as change:
        change.put(replace(items[0], next_visual=date(2026, 8, 1), last_date=date(2026, 2, 1)))
        change.put(replace(items[1], state=ServiceState.DISPOSED, next_visual=date(2026, 8, 1)))
        change.put(replace(items[2], state=ServiceState.WITHDRAWN))
        change.put(
            replace(failed, location=yard.uid, state=ServiceState.WITHDRAWN, last_outcome=Outcome.FAIL, last_date=TODAY)
        )
    assert counts_by_location(here.register, here.site.uid, today=TODAY) == (
        LocationCounts(name="Kitchen", items=4, overdue=1, failed=0, never=2),
        LocationCounts(name="Yard", items=1, overdue=0, failed=1, never=0),
        LocationCounts(name="Attic", items=0, overdue=0, failed=0, never=0),
    )
