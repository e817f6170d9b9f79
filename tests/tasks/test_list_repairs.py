"""A failure at a landlord's is due to be put right by the day that the duty names."""

from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest
from msgspec.structs import replace

from appreg.core.records.appliances import ApplianceClass, EquipmentType, Owner, ServiceState
from appreg.core.records.checks import Entries
from appreg.schedule.due_states import DueState
from appreg.tasks.documents.paper_kinds import Asked
from appreg.tasks.documents.tell_due import due_document
from appreg.tasks.documents.write_visit_report import visit_document
from appreg.tasks.inspecting.record_inspection import record_inspection
from appreg.tasks.inspecting.record_repair import open_actions, record_repair
from appreg.tasks.planning.group_due import DueGrouping, group_due
from appreg.tasks.planning.list_due import count_due, list_due
from appreg.tasks.records.add_appliance import add_appliance
from appreg.tasks.records.change_record import change_record
from appreg.tasks.records.set_service_state import set_service_state
from appreg.ui.screens.due.due_columns import key_of
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined, worked_site

# SI 2025/1043 (published): an unsafe item is repaired or replaced within 28 days.
BY = date(2026, 12, 22)


@pytest.fixture
def let(tmp_path: Path) -> Iterator[WorkedSite]:
    with worked_site(tmp_path, landlord_profile="gb-england-social") as here:
        yield here


def test_a_failure_is_due_28_days_after_it_and_stays_until_the_item_has_passed(let: WorkedSite) -> None:
    kettle, visit = let.kettle(), let.visit()
    let.record(kettle, combined(earth="0.52"), visit)
    (line,) = list_due(let.register, today=TODAY).repairs
    assert (line.what, line.due, line.days, line.state) == ("repair", BY, 28, DueState.DUE_SOON)
    assert line.because.startswith("put right by 22 Dec 2026: failed 24 Nov 2026, earth continuity: 0.52")
    assert "England, social landlord, 28 days, published" in line.because
    (action,) = open_actions(let.register)
    record_repair(let.register, WHO, action=action.uid, repair="new cord", on=TODAY)
    late = list_due(let.register, today=BY + timedelta(days=1))
    assert [(each.state, each.days) for each in late.repairs] == [(DueState.REPAIR_LATE, -1)]
    assert "repaired: new cord, not passed since" in late.repairs[0].because
    assert late.counts == count_due(let.register, today=BY + timedelta(days=1))
    (shown,) = visit_document(let.register, visit=visit.uid, today=TODAY).items
    assert "to be put right by 22 Dec 2026" in shown.remedial_action
    let.record(kettle, combined(), let.visit())
    assert list_due(let.register, today=TODAY).repairs == ()


def test_it_is_on_the_board_however_short_the_look_ahead_and_in_the_order_of_days(let: WorkedSite) -> None:
    let.record(let.kettle(), combined(), let.visit(date(2025, 11, 24)))
    let.record(let.kettle(), combined(earth="0.52"))
    let.kettle()
    board = list_due(let.register, today=TODAY, within_days=0)
    assert [(line.what, line.state) for line in board.with_repairs] == [
        ("visual", DueState.OVERDUE),
        ("test", DueState.DUE_SOON),
        ("repair", DueState.IN_DATE),
        ("test", DueState.NEVER),
    ]


def test_two_failures_of_one_item_are_each_due_by_a_day_of_their_own(let: WorkedSite) -> None:
    """SI 2025/1043 (published): within 28 days of the inspection that found it."""
    kettle = let.kettle()
    let.record(kettle, combined(earth="0.52"), let.visit(date(2026, 11, 20)))
    let.record(kettle, combined(insulation="0.2"))
    lines = list_due(let.register, today=TODAY).repairs
    assert [line.due for line in lines] == [date(2026, 12, 18), date(2026, 12, 22)]
    assert ["earth continuity: 0.52" in lines[0].because, "insulation" in lines[1].because] == [True, True]
    assert len({key_of(line) for line in lines}) == 2, "each has a row of its own on the screen"
    (first, _) = open_actions(let.register, kettle.uid)
    record_repair(let.register, WHO, action=first.uid, repair="new cord", on=TODAY)
    assert ["repaired" in line.because for line in list_due(let.register, today=TODAY).repairs] == [True, False]
    document = due_document(let.register, Asked(), TODAY)
    assert [row[3] for group in document.tables[0].groups for row in group.rows if row[2] == "repair"] == [
        date(2026, 12, 18),
        date(2026, 12, 22),
    ]
    assert document.counts[-1] == (2, "failures to put right")


@pytest.mark.parametrize("owner", [Owner.TENANT, Owner.OTHER])
def test_what_belongs_to_another_is_not_the_landlords_to_put_right(let: WorkedSite, owner: Owner) -> None:
    kettle = let.kettle()
    let.record(kettle, combined(earth="0.52"))
    change_record(let.register, WHO, replace(let.again(kettle), owner=owner))
    assert list_due(let.register, today=TODAY).repairs == ()


def test_what_was_replaced_or_stands_elsewhere_is_not_waited_for(let: WorkedSite, tmp_path: Path) -> None:
    kettle = let.kettle()
    let.record(kettle, combined(earth="0.52"))
    set_service_state(let.register, WHO, appliance=kettle.uid, state=ServiceState.DISPOSED)
    assert list_due(let.register, today=TODAY).repairs == ()
    (tmp_path / "other").mkdir()
    with worked_site(tmp_path / "other", landlord_profile="gb-scotland-private") as here:
        here.record(here.kettle(), combined(earth="0.52"))
        assert list_due(here.register, today=TODAY).repairs == ()


def test_an_item_never_checked_names_the_day_of_the_first_checks(let: WorkedSite) -> None:
    # SI 2025/1043 as repeated by the federation of English social landlords (published).
    let.kettle()
    (line,) = list_due(let.register, today=TODAY).lines
    assert line.because.startswith("England, social landlord: first check before 01 Nov 2026, which is past; ")
    (line,) = list_due(let.register, today=date(2026, 10, 31)).lines
    assert line.because.startswith("England, social landlord: first check before 01 Nov 2026; ")


def test_what_the_table_asks_nothing_of_is_waited_for_where_the_duty_asks(let: WorkedSite) -> None:
    # HSG107 asks no inspection of battery items (second-hand); SI 2025/1043 a test of all that the landlord supplies.
    torch = add_appliance(
        let.register,
        WHO,
        site=let.site.uid,
        location=let.kitchen.uid,
        name="Torch",
        appliance_class=ApplianceClass.CLASS_III,
        equipment_type=EquipmentType.HAND_HELD,
        battery=True,
    )
    board = list_due(let.register, today=TODAY)
    assert [(line.appliance.uid, line.what, line.state) for line in board.lines] == [
        (torch.uid, "test", DueState.NEVER)
    ]
    assert board.counts.never == count_due(let.register, today=TODAY).never == 1
    assert [group.counts.never for group in group_due(let.register, by=DueGrouping.SITE, today=TODAY)] == [1]
    assert "England, social landlord, at most 5 years" in board.lines[0].because


def test_a_failure_whose_record_was_replaced_is_not_told_as_one_that_stands(let: WorkedSite) -> None:
    kettle = let.kettle()
    failed = let.record(kettle, combined(earth="0.52"))
    record_inspection(
        let.register,
        WHO,
        appliance=kettle.uid,
        visit=failed.inspection.visit,
        kind=failed.inspection.kind,
        entries=Entries(visual=True),
        supersedes=failed.inspection.uid,
        reason="another item",
    )
    (line,) = list_due(let.register, today=TODAY).repairs
    assert "the record of that was replaced, and the item has not passed since" in line.because
