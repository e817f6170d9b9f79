"""What is due, in groups with counts and twelve months."""

from datetime import date

import pytest
from msgspec.structs import replace

from appreg.core.records.appliances import ApplianceClass, EquipmentType
from appreg.tasks.planning.group_due import DueGrouping, group_due, lines_by_group, lines_of_group
from appreg.tasks.planning.list_due import count_due, first_due, list_due
from appreg.tasks.records.add_category import add_category
from appreg.tasks.records.add_location import add_location
from appreg.tasks.records.add_site import add_site
from appreg.tasks.records.change_record import change_record
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
        (DueGrouping.RESPONSIBLE, ["nobody is named"]),
        (
            DueGrouping.MONTH,
            ["2025-11 November", "2026-05 May", "2027-01 January", "2027-10 October", "without a date"],
        ),
    ],
)
def test_groups_hold_every_line_once_whatever_they_go_by(mixed: WorkedSite, by: DueGrouping, titles: list[str]) -> None:
    board = list_due(mixed.register, today=TODAY)
    groups = group_due(mixed.register, by=by, today=TODAY)
    assert [group.title for group in groups] == titles
    by_title = lines_by_group(mixed.register, board.lines, by=by)
    grouped = [line for lines in by_title.values() for line in lines]
    assert set(by_title) <= {group.title for group in groups}
    assert sorted(grouped, key=repr) == sorted(board.lines, key=repr)
    for field in ("overdue", "due_soon", "overdue_items", "due_soon_items", "never", "withdrawn"):
        assert sum(getattr(group.counts, field) for group in groups) == getattr(board.counts, field)


def test_the_months_count_what_falls_due_from_today_on(mixed: WorkedSite) -> None:
    # Used by the public, HSG107: visual 3 months, test 1 year after 24 October 2026.
    hall, kitchen = group_due(mixed.register, by=DueGrouping.LOCATION, today=TODAY)
    assert hall.months == (0, 0, 1, 0, 0, 0, 0, 0, 0, 0, 0, 1)
    assert kitchen.months == (0,) * 12
    assert (kitchen.counts.overdue, kitchen.counts.never, kitchen.counts.withdrawn) == (2, 1, 1)


def test_sites_are_put_together_by_whoever_is_responsible_for_them(mixed: WorkedSite) -> None:
    change_record(mixed.register, WHO, replace(mixed.site, responsible="R. Oak [red]"))
    (group,) = group_due(mixed.register, by=DueGrouping.RESPONSIBLE, today=TODAY)
    assert (group.title, group.counts) == ("R. Oak [red]", list_due(mixed.register, today=TODAY).counts)


def test_one_site_alone_may_be_grouped(mixed: WorkedSite) -> None:
    other = add_site(mixed.register, WHO, client=mixed.client.uid, name="Two", prefix="TW", environment="low-risk")
    assert group_due(mixed.register, by=DueGrouping.SITE, today=TODAY, site=other.uid) == ()


def test_the_end_of_the_calendar_is_no_trouble(mixed: WorkedSite) -> None:
    assert group_due(mixed.register, by=DueGrouping.SITE, today=date(9999, 12, 20))[0].counts.overdue == 4


def test_one_group_may_be_asked_for_its_lines(mixed: WorkedSite) -> None:
    by, title = DueGrouping.LOCATION, "Harbour Row, Kitchen"
    lines = lines_of_group(mixed.register, by=by, title=title, today=TODAY)
    assert {line.location.name for line in lines} == {"Kitchen"}
    assert len(lines) == 3
    assert lines_of_group(mixed.register, by=by, title="nowhere", today=TODAY) == ()


@pytest.mark.parametrize("within", [0, 30, 366, 10_000])
def test_counts_and_first_lines_agree_with_the_whole_board(mixed: WorkedSite, within: int) -> None:
    board = list_due(mixed.register, today=TODAY, within_days=within)
    assert count_due(mixed.register, today=TODAY, within_days=within) == board.counts
    dated = [line for line in board.lines if line.due is not None]
    first = first_due(mixed.register, today=TODAY, within_days=within, limit=64)
    assert sorted(first, key=repr) == sorted(dated, key=repr)
    assert [line.due for line in first] == [line.due for line in dated]
    assert first_due(mixed.register, today=TODAY, within_days=within, limit=1) == first[:1]
    assert count_due(mixed.register, today=TODAY, within_days=within, site=mixed.site.uid) == board.counts
