"""What is overdue is the same on every list and count: in service, and the day of a date is past."""

from datetime import date, timedelta

from msgspec.structs import replace

from appreg.core.records.appliances import ServiceState
from appreg.core.records.item_states import ItemState
from appreg.core.records.kept_records import Appliance
from appreg.core.records.list_queries import parse_query
from appreg.register.lists.due_lists import count_items, counts_by_site
from appreg.schedule.due_states import DueState, is_item_overdue
from appreg.tasks.items.find_due_lines import board_answering
from appreg.tasks.items.list_items import list_items
from appreg.tasks.planning.group_due import DueGrouping, group_due
from appreg.tasks.planning.list_due import count_due, list_due
from appreg.tasks.records.change_record import change_record
from appreg.tasks.records.list_sites import list_sites
from appreg.ui.screens.sites.attention import attention_line, shares_of
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined

YESTERDAY, TOMORROW = TODAY - timedelta(days=1), TODAY + timedelta(days=1)
DATES = (None, YESTERDAY, TODAY, TOMORROW)
SOON = TODAY + timedelta(days=30)


def every_kind(here: WorkedSite) -> list[Appliance]:
    """An item for each pair of dates around today, in service, and withdrawn once more."""
    items = [
        replace(here.kettle(), next_visual=look, next_test=test, last_date=date(2025, 11, 1), state=state)
        for state in (ServiceState.IN_SERVICE, ServiceState.WITHDRAWN)
        for look in DATES
        for test in DATES
    ]
    with here.register.change(WHO) as change:
        for item in items:
            change.put(item)
    return items


def test_every_list_and_count_calls_the_same_items_overdue(here: WorkedSite) -> None:
    items = every_kind(here)
    overdue = {item.uid for item in items if is_item_overdue(item, TODAY)}
    in_service = [item for item in items if item.state is ServiceState.IN_SERVICE]
    assert overdue == {item.uid for item in in_service if YESTERDAY in {item.next_visual, item.next_test}}
    listed = list_items(here.register, today=TODAY, state=ItemState.OVERDUE)
    assert {each.appliance.uid for each in listed} == overdue
    board = list_due(here.register, today=TODAY, within_days=30)
    assert {line.appliance.uid for line in board.lines if line.state is DueState.OVERDUE} == overdue
    counts = count_due(here.register, today=TODAY, within_days=30)
    groups = group_due(here.register, by=DueGrouping.SITE, today=TODAY, within_days=30)
    assert {
        counts.overdue_items,
        board.counts.overdue_items,
        sum(group.counts.overdue_items for group in groups),
        count_items(here.register, today=TODAY, until=SOON)[0],
        counts_by_site(here.register, today=TODAY, soon=SOON)[here.site.uid].overdue,
    } == {len(overdue)}
    by_site = counts_by_site(here.register, today=TODAY, soon=SOON)[here.site.uid]
    dates = sum((item.next_visual, item.next_test).count(YESTERDAY) for item in in_service)
    assert {counts.overdue, board.counts.overdue, sum(group.counts.overdue for group in groups)} == {dates}
    assert by_site.overdue_inspections == dates
    assert by_site.soon_inspections == counts.due_soon
    assert (by_site.in_service, by_site.oldest_overdue) == (len(in_service), YESTERDAY)
    assert by_site.overdue_share == 44, "7 of 16 items, rounded up"


def test_a_count_in_words_names_items_and_inspections_everywhere(here: WorkedSite) -> None:
    every_kind(here)
    (site,) = list_sites(here.register, today=TODAY)
    assert site.counts is not None
    late = "overdue 7 items, 8 inspections"
    assert count_due(here.register, today=TODAY).words(30)[0] == late
    assert shares_of(site.counts)[0][0] == late
    assert attention_line("1 site", shares_of(site.counts)).plain.startswith(f"1 site: {late} · due soon 8 more items,")


def test_a_repair_of_a_withdrawn_item_is_late_and_never_overdue(here: WorkedSite) -> None:
    site = replace(here.site, landlord_profile="gb-england-social")
    change_record(here.register, WHO, site)
    here.record(here.kettle(), combined(earth="0.9"), here.visit(date(2026, 1, 5)))
    board = list_due(here.register, today=TODAY)
    assert [line.state for line in board.with_repairs] == [DueState.REPAIR_LATE]


def test_a_late_repair_is_found_by_its_day_and_not_among_what_is_overdue(here: WorkedSite) -> None:
    change_record(here.register, WHO, replace(here.site, landlord_profile="gb-england-social"))
    here.record(here.kettle(), combined(earth="0.9"), here.visit(date(2026, 1, 5)))
    board = list_due(here.register, today=TODAY)
    for typed, found in {"due:<0": 1, "due:>0": 0, "state:overdue": 0, "state:due-soon": 0, "state:failed": 1}.items():
        query = parse_query(typed, today=TODAY)
        assert len(board_answering(here.register, board, query).repairs) == found, typed
