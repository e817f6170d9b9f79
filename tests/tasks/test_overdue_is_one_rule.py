"""What is overdue is the same on every list and count: in service, and the day of a date is past."""

from datetime import date, timedelta

from msgspec.structs import replace

from appreg.core.records.appliances import ServiceState
from appreg.core.records.item_states import ItemState
from appreg.core.records.kept_records import Appliance
from appreg.register.lists.due_lists import count_items, counts_by_site
from appreg.schedule.due_states import DueState, is_item_overdue
from appreg.tasks.items.list_items import list_items
from appreg.tasks.planning.group_due import DueGrouping, group_due
from appreg.tasks.planning.list_due import count_due, list_due
from tests.tasks.worked_site import TODAY, WHO, WorkedSite

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
    dates = sum((item.next_visual, item.next_test).count(YESTERDAY) for item in in_service)
    assert {counts.overdue, board.counts.overdue, sum(group.counts.overdue for group in groups)} == {dates}
