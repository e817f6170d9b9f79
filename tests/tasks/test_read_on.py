"""What is asked of one site says which items it may lack, and that others are damaged elsewhere."""

import pytest

from appreg.core.records.kept_records import Appliance
from appreg.tasks.desk.read_on import note_damaged_items
from appreg.tasks.planning.list_due import list_due
from appreg.tasks.records.add_location import add_location
from appreg.tasks.records.add_site import add_site
from tests.tasks.worked_site import TODAY, WHO, WorkedSite


@pytest.fixture(name="elsewhere")
def _elsewhere(here: WorkedSite) -> WorkedSite:
    """Another site in the same register, with an item at it."""
    site = add_site(here.register, WHO, client=here.client.uid, name="Kiln Lane", prefix="KL", environment="low-risk")
    place = add_location(here.register, WHO, site=site.uid, name="Pottery")
    there = WorkedSite(
        register=here.register,
        client=here.client,
        site=site,
        kitchen=place,
        person=here.person,
        instrument=here.instrument,
    )
    there.kettle()
    return there


def damage(item: Appliance, here: WorkedSite, column: str, value: str) -> None:
    for statement in ("PRAGMA foreign_keys = OFF", "PRAGMA ignore_check_constraints = ON"):
        here.register.connection.execute(statement)
    here.register.connection.execute(f"UPDATE appliance SET {column} = ? WHERE uid = ?", (value, item.uid))  # noqa: S608 - our names


def test_an_item_that_stands_at_a_site_by_its_location_alone_is_named_there(
    here: WorkedSite, elsewhere: WorkedSite
) -> None:
    item = here.kettle()
    damage(item, here, "site", elsewhere.site.uid)
    for site in (here.site, elsewhere.site):
        assert [each.uid for each in note_damaged_items(here.register, site=site.uid)] == [item.uid]


@pytest.mark.parametrize(("column", "value"), [("next_test", "2026-13-45"), ("state", "lost"), ("location", "nowhere")])
def test_a_list_of_one_site_says_that_items_of_another_are_damaged(
    here: WorkedSite, elsewhere: WorkedSite, column: str, value: str
) -> None:
    damage(here.kettle(), here, column, value)
    list_due(here.register, today=TODAY, site=elsewhere.site.uid)
    (said,) = here.register.damage.sentences
    assert said.startswith("Items of other sites are damaged")


def test_a_list_of_a_damaged_site_names_its_items_and_nothing_elsewhere(
    here: WorkedSite, elsewhere: WorkedSite
) -> None:
    del elsewhere
    damage(here.kettle(), here, "next_test", "2026-13-45")
    list_due(here.register, today=TODAY, site=here.site.uid)
    (said,) = here.register.damage.sentences
    assert said.startswith("HR-001 needs attention: its next test is damaged")
