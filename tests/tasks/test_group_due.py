"""What is due, in groups with counts and twelve months."""

from dataclasses import replace
from datetime import date

import pytest

from appreg.core.appliances import ApplianceClass, EquipmentType
from appreg.tasks.add_category import add_category
from appreg.tasks.add_location import add_location
from appreg.tasks.add_site import add_site
from appreg.tasks.change_record import change_record
from appreg.tasks.group_due import DueGrouping, group_due
from appreg.tasks.list_due import list_due
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined


@pytest.fixture
def mixed(here: WorkedSite) -> WorkedSite:
    """Two overdue and one due in the year, one never inspected, one withdrawn, over two places and categories."""
    hall = add_location(here.register, WHO, site=here.site.uid, name="Hall", environment="public")
    category = add_category(
        here.register,
        WHO,
        code="KTL",
        name="Kettles",
        appliance_class=ApplianceClass.CLASS_I,
        equipment_type=EquipmentType.PORTABLE,
    )
    old = here.kettle()
    here.record(old, combined(), here.visit(date(2025, 5, 24)))
    change_record(here.register, WHO, replace(here.again(old), category=category.uid))
    recent = here.kettle()
    here.record(recent, combined(), here.visit(date(2026, 10, 24)))
    change_record(here.register, WHO, replace(here.again(recent), location=hall.uid))
    here.kettle()
    here.record(here.kettle(), combined(earth="0.9"))
    return here


@pytest.mark.parametrize(
    ("by", "titles"),
    [
        (DueGrouping.SITE, ["Harbour Row"]),
        (DueGrouping.LOCATION, ["Harbour Row, Hall", "Harbour Row, Kitchen"]),
        (DueGrouping.ENVIRONMENT, ["low risk: offices, shops, dwellings and the like", "used by the public, hotels"]),
        (DueGrouping.CATEGORY, ["Kettles", "no category"]),
    ],
)
def test_groups_hold_every_line_once_whatever_they_go_by(mixed: WorkedSite, by: DueGrouping, titles: list[str]) -> None:
    board = list_due(mixed.register, today=TODAY)
    groups = group_due(mixed.register, by=by, today=TODAY)
    assert [group.title for group in groups] == titles
    grouped = [line for group in groups for line in group.lines]
    assert sorted(grouped, key=repr) == sorted(board.lines, key=repr)
    for field in ("overdue", "due_soon", "never", "withdrawn"):
        assert sum(getattr(group.counts, field) for group in groups) == getattr(board.counts, field)


def test_the_months_count_what_falls_due_from_today_on(mixed: WorkedSite) -> None:
    # Used by the public, HSG107: visual 3 months, test 1 year after 24 October 2026.
    hall, kitchen = group_due(mixed.register, by=DueGrouping.LOCATION, today=TODAY)
    assert hall.months == (0, 0, 1, 0, 0, 0, 0, 0, 0, 0, 0, 1)
    assert kitchen.months == (0,) * 12
    assert (kitchen.counts.overdue, kitchen.counts.never, kitchen.counts.withdrawn) == (2, 1, 1)


def test_one_site_alone_may_be_grouped(mixed: WorkedSite) -> None:
    other = add_site(mixed.register, WHO, client=mixed.client.uid, name="Two", prefix="TW", environment="low-risk")
    assert group_due(mixed.register, by=DueGrouping.SITE, today=TODAY, site=other.uid) == ()


def test_the_end_of_the_calendar_is_no_trouble(mixed: WorkedSite) -> None:
    assert group_due(mixed.register, by=DueGrouping.SITE, today=date(9999, 12, 20))[0].counts.overdue == 4
