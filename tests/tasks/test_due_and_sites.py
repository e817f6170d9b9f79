"""What is due, what was never inspected, and how sites stand."""

from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from appreg.core.records.appliances import ApplianceClass, EquipmentType, ServiceState
from appreg.core.records.checks import Entries
from appreg.core.records.kept_records import InspectionKind
from appreg.errors import InputRefused
from appreg.register.lists.due_lists import Counts
from appreg.schedule.due_states import DueState
from appreg.tasks.planning.list_due import list_due
from appreg.tasks.records.add_appliance import add_appliance
from appreg.tasks.records.add_site import add_site
from appreg.tasks.records.change_record import change_record
from appreg.tasks.records.list_sites import list_sites
from appreg.tasks.records.set_service_state import set_service_state
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined, worked_site


def test_each_of_the_two_dates_has_a_line_of_its_own_with_its_reason(here: WorkedSite) -> None:
    here.record(here.kettle(), combined(), here.visit(date(2025, 11, 24)))
    board = list_due(here.register, today=TODAY, within_days=0)
    # HSG107 leaflet, Class I: visual 6 months, test 1 year (published); due today is not overdue.
    assert [(line.what, line.due, line.state, line.days) for line in board.lines] == [
        ("visual", date(2026, 5, 24), DueState.OVERDUE, -184),
        ("test", date(2026, 11, 24), DueState.DUE_SOON, 0),
    ]
    assert board.lines[1].because == "low risk, Class I, 1 year"
    assert (board.counts.overdue, board.counts.due_soon) == (1, 1)


def test_due_soon_reaches_exactly_as_many_days_as_asked(here: WorkedSite) -> None:
    here.record(here.kettle(), combined(), here.visit(date(2026, 6, 24)))
    assert list_due(here.register, today=TODAY, within_days=29).lines == ()
    assert [line.days for line in list_due(here.register, today=TODAY, within_days=30).lines] == [30]
    with pytest.raises(InputRefused, match="lie in the past"):
        list_due(here.register, today=TODAY, within_days=-1)
    assert list_due(here.register, today=TODAY, within_days=999_999_999).counts.due_soon == 2


def test_what_was_never_inspected_is_said_and_stands_last(here: WorkedSite) -> None:
    here.record(here.kettle(), combined(), here.visit(date(2025, 1, 24)))
    new = here.kettle()
    board = list_due(here.register, today=TODAY)
    assert board.lines[-1].appliance == new
    assert (board.lines[-1].state, board.lines[-1].due, board.lines[-1].days) == (DueState.NEVER, None, None)
    assert board.counts.never == 1


def test_an_item_of_which_nothing_is_asked_is_not_waited_for(here: WorkedSite) -> None:
    lamp = add_appliance(
        here.register,
        WHO,
        site=here.site.uid,
        location=here.kitchen.uid,
        name="Low-voltage lamp",
        appliance_class=ApplianceClass.CLASS_III,
        equipment_type=EquipmentType.PORTABLE,
    )
    assert list_due(here.register, today=TODAY).lines == ()
    assert lamp.last_date is None


def test_withdrawn_missing_and_disposed_items_have_no_lines(here: WorkedSite) -> None:
    for state in (ServiceState.WITHDRAWN, ServiceState.MISSING, ServiceState.DISPOSED):
        set_service_state(here.register, WHO, appliance=here.kettle().uid, state=state)
    board = list_due(here.register, today=TODAY)
    assert board.lines == ()
    assert board.counts.withdrawn == 1


def test_one_site_alone_may_be_listed(here: WorkedSite) -> None:
    here.kettle()
    other = add_site(here.register, WHO, client=here.client.uid, name="Two", prefix="TW", environment="low-risk")
    assert len(list_due(here.register, today=TODAY, site=here.site.uid).lines) == 1
    assert list_due(here.register, today=TODAY, site=other.uid).lines == ()


def test_a_statutory_maximum_is_named_where_it_is_what_counts(tmp_path: Path) -> None:
    with worked_site(tmp_path, landlord_profile="gb-scotland-private") as here:
        lamp = add_appliance(
            here.register,
            WHO,
            site=here.site.uid,
            location=here.kitchen.uid,
            name="Lamp",
            appliance_class=ApplianceClass.CLASS_II,
            equipment_type=EquipmentType.PORTABLE,
        )
        here.record(lamp, combined(earth=""), here.visit(date(2020, 1, 31)))
        lines = list_due(here.register, today=TODAY).lines
    assert [line.because for line in lines if line.what == "test"] == ["Scotland, private landlord, at most 5 years"]


def test_sites_are_listed_by_name_with_their_counts(here: WorkedSite) -> None:
    add_site(here.register, WHO, client=here.client.uid, name="Attic", prefix="AT", environment="low-risk")
    here.record(here.kettle(), combined(), here.visit(date(2025, 11, 20)))
    here.record(here.kettle(), combined(earth="0.9"))
    here.kettle()
    attic, row = list_sites(here.register, today=TODAY)
    assert (attic.site.name, attic.counts) == ("Attic", Counts())
    assert row.counts == Counts(
        items=3,
        in_service=2,
        overdue=1,
        overdue_inspections=2,
        oldest_overdue=date(2026, 5, 20),
        failed=1,
        never=1,
        withdrawn=1,
    )
    assert len(row.months) == 12
    assert row.client == here.client


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    days=st.lists(st.dates(date(2020, 1, 1), date(2026, 11, 24)), min_size=1, max_size=5),
    looks=st.lists(st.booleans(), min_size=5, max_size=5),
)
def test_no_date_lies_before_the_inspection_that_set_it(here: WorkedSite, days: list[date], looks: list[bool]) -> None:
    kettle = here.kettle()
    for day, look in zip(sorted(days), looks, strict=False):
        if look:
            saved = here.record(kettle, Entries(visual=True), here.visit(day), kind=InspectionKind.VISUAL)
        else:
            saved = here.record(kettle, combined(), here.visit(day))
    item = saved.appliance
    assert item.next_visual is not None
    assert item.next_visual > max(days)
    assert item.next_test is not None
    shorter = change_record(here.register, WHO, replace(here.again(kettle), longer_interval_reason="x"))
    assert shorter.next_visual is not None
    assert shorter.next_visual >= item.next_visual, "a shorter interval never gives a later date"
