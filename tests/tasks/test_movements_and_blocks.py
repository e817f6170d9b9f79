"""Inspections that an event asks for: who must not be issued or used, and what lets it go."""

from contextlib import AbstractContextManager
from datetime import date
from pathlib import Path

import pytest
from msgspec.structs import replace

from appreg.core.records.appliances import ApplianceClass, EquipmentType, ServiceState
from appreg.core.records.checks import Entries
from appreg.core.records.kept_records import Appliance, InspectionKind
from appreg.core.records.work_records import IntervalKind, ItemMovement, Movement
from appreg.errors import InputRefused
from appreg.register.history.journal import changes_since
from appreg.register.journal.changes import Change
from appreg.tasks.inspecting.take_back_inspection import take_back_inspection
from appreg.tasks.items.list_blocked import blocks_of, list_blocked
from appreg.tasks.items.list_user_checks import list_room_checks, list_user_checks, user_check_words
from appreg.tasks.items.note_fault import note_fault
from appreg.tasks.items.record_movement import record_movement, record_movements
from appreg.tasks.items.weigh_issue import PastHouseLimit, ages_of_tests
from appreg.tasks.records.add_appliance import add_appliance
from appreg.tasks.records.add_location import add_location
from appreg.tasks.records.add_site import add_site
from appreg.tasks.records.change_record import change_record
from appreg.tasks.records.set_service_state import set_service_state
from tests.tasks.worked_site import WHO, WorkedSite, combined, worked_site


def move(here: WorkedSite, item: Appliance, movement: Movement, on: date) -> None:
    record_movement(here.register, WHO, appliance=item.uid, movement=movement, on=on)


def reasons(here: WorkedSite, item: Appliance) -> list[tuple[str, str]]:
    return [(block.event, block.because) for block in blocks_of(here.register, here.again(item))]


def test_a_hire_item_needs_a_test_before_issue_and_both_after_its_return(tmp_path: Path) -> None:
    # HSG107, equipment hire (second-hand): visual before issue and after return, test before issue.
    with worked_site(tmp_path, environment="hire") as here:
        kettle = here.kettle()
        assert [event for event, _ in reasons(here, kettle)] == ["before issue", "before issue"]
        with pytest.raises(InputRefused, match="HR-001 must not be issued: no inspection and test has passed"):
            move(here, kettle, Movement.ISSUED, date(2026, 11, 1))
        here.record(kettle, combined(), here.visit(date(2026, 11, 1)))
        assert reasons(here, kettle) == []
        move(here, kettle, Movement.ISSUED, date(2026, 11, 2))
        assert reasons(here, kettle) == []
        with pytest.raises(InputRefused, match="out already"):
            move(here, kettle, Movement.ISSUED, date(2026, 11, 3))
        move(here, kettle, Movement.RETURNED, date(2026, 11, 10))
        since = "has passed since it came back on 10 Nov 2026"
        assert reasons(here, kettle) == [
            ("before issue", f"no inspection and test {since}"),
            ("before issue", f"no inspection {since}"),
            ("after return", f"no inspection {since}"),
        ]
        here.record(kettle, Entries(visual=True), here.visit(date(2026, 11, 11)), kind=InspectionKind.VISUAL)
        assert [event for event, _ in reasons(here, kettle)] == ["before issue"]
        here.record(kettle, combined(), here.visit(date(2026, 11, 12)))
        assert reasons(here, kettle) == []


def test_a_change_of_tenancy_asks_for_a_test_before_the_next_tenancy(tmp_path: Path) -> None:
    # Housing (Scotland) Act 2006 s. 19A (published): an inspection before a tenancy.
    with worked_site(tmp_path, landlord_profile="gb-scotland-private") as here:
        kettle = here.kettle()
        here.record(kettle, combined(), here.visit(date(2026, 10, 1)))
        assert reasons(here, kettle) == []
        move(here, kettle, Movement.TENANCY, date(2026, 11, 1))
        since = "has passed since the change of tenancy on 01 Nov 2026"
        assert reasons(here, kettle) == [("before the next tenancy", f"no inspection and test {since}")]
        (line,) = list_blocked(here.register, site=here.site.uid)
        assert line.block.kind is IntervalKind.TEST
        assert line.because == f"no inspection and test {since} (Scotland, private landlord, published)"
        here.record(kettle, Entries(visual=True), here.visit(date(2026, 11, 2)), kind=InspectionKind.VISUAL)
        assert len(list_blocked(here.register)) == 1
        here.record(kettle, combined(), here.visit(date(2026, 11, 3)))
        assert reasons(here, kettle) == []
        assert list_blocked(here.register) == ()


def test_a_change_of_tenancy_does_not_bring_back_what_is_out(tmp_path: Path) -> None:
    with worked_site(tmp_path, environment="hire") as here:
        kettle = here.kettle()
        here.record(kettle, combined(), here.visit(date(2026, 11, 1)))
        move(here, kettle, Movement.ISSUED, date(2026, 11, 2))
        move(here, kettle, Movement.TENANCY, date(2026, 11, 3))
        with pytest.raises(InputRefused, match="out already"):
            move(here, kettle, Movement.ISSUED, date(2026, 11, 4))


def test_a_test_on_the_morning_of_the_return_does_not_count_for_the_next_issue(tmp_path: Path) -> None:
    with worked_site(tmp_path, environment="hire") as here:
        kettle = here.kettle()
        here.record(kettle, combined(), here.visit(date(2026, 11, 10)))
        move(here, kettle, Movement.ISSUED, date(2026, 11, 10))
        move(here, kettle, Movement.RETURNED, date(2026, 11, 10))
        assert len(reasons(here, kettle)) == 3
        here.record(kettle, combined(), here.visit(date(2026, 11, 10)))
        assert reasons(here, kettle) == []


def test_before_first_use_on_site_counts_only_a_test_at_that_site_since_it_was_brought(tmp_path: Path) -> None:
    with worked_site(tmp_path, environment="construction-110") as here:
        drill = here.kettle()
        here.record(drill, combined(), here.visit(date(2026, 10, 1)))
        assert reasons(here, drill) == []
        other = add_site(
            here.register, WHO, client=here.client.uid, name="Pier", prefix="PI", environment="construction-110"
        )
        yard = add_location(here.register, WHO, site=other.uid, name="Yard")
        moved = replace(here.again(drill), site=other.uid, location=yard.uid)
        change_record(here.register, WHO, moved)
        assert reasons(here, drill) == [("before first use on site", "no inspection and test has passed at this site")]
        change_record(here.register, WHO, replace(moved, site=here.site.uid, location=here.kitchen.uid))
        assert reasons(here, drill) == []
        move(here, drill, Movement.BROUGHT, date(2026, 11, 1))
        assert reasons(here, drill) == [
            (
                "before first use on site",
                "no inspection and test has passed since it was brought on site on 01 Nov 2026",
            )
        ]


def test_what_is_out_stays_out_though_it_was_brought_on_site(tmp_path: Path) -> None:
    with worked_site(tmp_path, environment="hire") as here:
        kettle = here.kettle()
        here.record(kettle, combined(), here.visit(date(2026, 11, 1)))
        move(here, kettle, Movement.ISSUED, date(2026, 11, 2))
        move(here, kettle, Movement.BROUGHT, date(2026, 11, 3))
        with pytest.raises(InputRefused, match="out already"):
            move(here, kettle, Movement.ISSUED, date(2026, 11, 4))
        assert reasons(here, kettle) == []
        move(here, kettle, Movement.RETURNED, date(2026, 11, 5))
        assert len(reasons(here, kettle)) == 3


def test_what_was_issued_and_then_brought_on_site_is_inspected_before_its_first_use_there(tmp_path: Path) -> None:
    # HSG107 table for construction (second-hand): a test before first use on site, whoever sent the item there.
    with worked_site(tmp_path, environment="construction-110") as here:
        drill = here.kettle()
        here.record(drill, combined(), here.visit(date(2026, 11, 1)))
        move(here, drill, Movement.BROUGHT, date(2026, 11, 1))
        here.record(drill, combined(), here.visit(date(2026, 11, 1)))
        move(here, drill, Movement.ISSUED, date(2026, 11, 2))
        assert reasons(here, drill) == []
        move(here, drill, Movement.BROUGHT, date(2026, 11, 3))
        since = "no inspection and test has passed since it was brought on site on 03 Nov 2026"
        assert reasons(here, drill) == [("before first use on site", since)]
        (line,) = list_blocked(here.register)
        assert line.block.event == "before first use on site"
        here.record(drill, combined(), here.visit(date(2026, 11, 4)))
        assert reasons(here, drill) == []
        move(here, drill, Movement.TENANCY, date(2026, 11, 5))
        assert reasons(here, drill) == []
        move(here, drill, Movement.BROUGHT, date(2026, 11, 6))
        assert len(reasons(here, drill)) == 1
        move(here, drill, Movement.RETURNED, date(2026, 11, 7))
        assert [event for event, _ in reasons(here, drill)] == ["before first use on site", "before the next tenancy"]


def test_the_list_names_each_blocked_item_with_the_row_that_asks(tmp_path: Path) -> None:
    with worked_site(tmp_path, environment="construction-230") as here:
        kettle, passed = here.kettle(), here.kettle()
        here.record(passed, combined(), here.visit(date(2026, 10, 1)))
        withdrawn = here.kettle()
        set_service_state(here.register, WHO, appliance=withdrawn.uid, state=ServiceState.WITHDRAWN)
        (line,) = list_blocked(here.register)
        assert (line.appliance, line.site, line.location) == (kettle, here.site, here.kitchen)
        assert (line.block.kind, line.block.event) == (IntervalKind.TEST, "before first use on site")
        assert line.because == "no inspection and test has passed (construction, 230 V)"
        assert list_blocked(here.register, site=here.site.uid) == (line,)


def test_where_no_table_names_an_event_nothing_is_blocked(here: WorkedSite) -> None:
    here.kettle()
    assert list_blocked(here.register) == ()


def test_an_item_out_of_service_or_overdue_is_not_issued(here: WorkedSite) -> None:
    kettle = here.kettle()
    here.record(kettle, combined(), here.visit(date(2026, 1, 5)))
    with pytest.raises(InputRefused, match="overdue since 05 Jul 2026"):
        move(here, kettle, Movement.ISSUED, date(2026, 7, 6))
    move(here, kettle, Movement.ISSUED, date(2026, 7, 5))
    with pytest.raises(InputRefused, match="last moved on 05 Jul 2026"):
        move(here, kettle, Movement.RETURNED, date(2026, 7, 4))
    move(here, kettle, Movement.RETURNED, date(2026, 7, 5))
    set_service_state(here.register, WHO, appliance=kettle.uid, state=ServiceState.MISSING)
    with pytest.raises(InputRefused, match="is missing, not in service"):
        move(here, kettle, Movement.ISSUED, date(2026, 7, 5))


def test_a_failed_inspection_does_not_lift_a_block(tmp_path: Path) -> None:
    with worked_site(tmp_path, environment="hire") as here:
        kettle = here.kettle()
        here.record(kettle, combined(earth="0.9"), here.visit(date(2026, 11, 1)))
        assert reasons(here, kettle)[0] == ("before issue", "no inspection and test has passed")


def test_user_checks_are_counted_by_location_and_frequency(tmp_path: Path) -> None:
    with worked_site(tmp_path, environment="construction-230") as here:
        office = add_location(here.register, WHO, site=here.site.uid, name="Cabin", environment="construction-office")
        for _ in range(3):
            here.kettle()
        for battery in (False, True):
            add_appliance(
                here.register,
                WHO,
                site=here.site.uid,
                location=office.uid,
                name="Lamp",
                battery=battery,
                appliance_class=ApplianceClass.CLASS_I,
                equipment_type=EquipmentType.PORTABLE,
            )
        lines = list_user_checks(here.register)
    assert [(line.location.name, line.every, line.items) for line in lines] == [
        ("Cabin", "monthly", 1),
        ("Kitchen", "every shift, daily", 3),
    ]


@pytest.mark.parametrize(
    ("interval", "words"), [("1 day", "daily"), ("1 week", "weekly"), ("11 days", "11 days"), ("by staff", "by staff")]
)
def test_frequencies_of_user_checks_are_said_as_people_say_them(interval: str, words: str) -> None:
    assert user_check_words(interval) == words


def test_a_test_older_than_the_house_wants_is_asked_about_at_issue_and_the_journal_says_that_it_was_passed_over(
    here: WorkedSite,
) -> None:
    kettle = here.kettle()
    # HSG107, offices and the like (second-hand): of Class II a look alone is asked for.
    never = add_appliance(
        here.register,
        WHO,
        site=here.site.uid,
        location=here.kitchen.uid,
        name="Lamp",
        appliance_class=ApplianceClass.CLASS_II,
        equipment_type=EquipmentType.PORTABLE,
    )
    here.record(kettle, combined(), here.visit(date(2026, 1, 5)))
    here.record(never, Entries(visual=True), here.visit(date(2026, 1, 5)), kind=InspectionKind.VISUAL)

    def issue(*items: Appliance, limit: int, past: bool = False) -> None:
        record_movements(
            here.register,
            WHO,
            appliances=[item.uid for item in items],
            movement=Movement.ISSUED,
            on=date(2026, 4, 6),
            limit_days=limit,
            past_limit=past,
        )

    with pytest.raises(PastHouseLimit, match="last tested 05 Jan 2026, 91 days before; the house's limit is 90 days"):
        issue(kettle, limit=90)
    with pytest.raises(PastHouseLimit, match="never tested"):
        issue(kettle, never, limit=91)
    assert here.register.find(ItemMovement) == []
    issue(kettle, limit=91)
    move(here, kettle, Movement.RETURNED, date(2026, 4, 6))
    issue(kettle, never, limit=90, past=True)
    lines = changes_since(here.register, {}, ItemMovement)
    said = "issued, past the limit: HR-001: last tested 05 Jan 2026, 91 days before; the house's limit is 90 days, and 1 more"
    assert lines[-1].reason == said
    assert lines[0].reason == "issued"


def test_a_test_taken_back_while_its_item_is_issued_is_no_proof_of_its_age(
    here: WorkedSite, monkeypatch: pytest.MonkeyPatch
) -> None:
    kettle, change = here.kettle(), here.register.change
    here.record(kettle, combined(), here.visit(date(2025, 12, 20)))
    newest = here.record(kettle, combined(), here.visit(date(2026, 1, 5))).inspection.uid

    def after_another_desk(who: str, reason: str = "") -> AbstractContextManager[Change]:
        monkeypatch.setattr(here.register, "change", change)
        take_back_inspection(here.register, WHO, newest)
        return change(who, reason)

    monkeypatch.setattr(here.register, "change", after_another_desk)
    with pytest.raises(PastHouseLimit, match="last tested 20 Dec 2025, 107 days before"):
        record_movements(
            here.register, WHO, appliances=[kettle.uid], movement=Movement.ISSUED, on=date(2026, 4, 6), limit_days=91
        )
    assert here.register.find(ItemMovement) == []


def test_a_test_dated_after_the_issue_is_no_proof_of_its_age(here: WorkedSite) -> None:
    kettle = here.kettle()
    here.record(kettle, combined(), here.visit(date(2026, 1, 5)))
    (age,) = ages_of_tests(here.register, appliances=[kettle.uid], on=date(2026, 1, 4), limit_days=90)
    assert (age.is_past_limit, age.days) == (True, -1)
    (age,) = ages_of_tests(here.register, appliances=[kettle.uid], on=date(2026, 1, 4), limit_days=0)
    assert not age.is_past_limit


def test_user_checks_are_listed_room_by_room_and_a_fault_takes_the_item_out_of_service(tmp_path: Path) -> None:
    with worked_site(tmp_path, environment="construction-230") as here:
        attic = add_location(here.register, WHO, site=here.site.uid, name="Attic")
        first, second, third = here.kettle(), here.kettle(), here.kettle()
        change_record(here.register, WHO, replace(here.again(third), location=attic.uid))
        lines = list_room_checks(here.register)
        assert [(line.location.name, line.appliance.tag) for line in lines] == [
            ("Attic", third.tag),
            ("Kitchen", first.tag),
            ("Kitchen", second.tag),
        ]
        assert {line.every for line in lines} == {"every shift, daily"}
        assert len(list_room_checks(here.register, location=attic.uid)) == 1
        with pytest.raises(InputRefused, match="nothing is said"):
            note_fault(here.register, WHO, appliance=first.uid, what=" ", on=date(2026, 11, 24))
        noted = note_fault(
            here.register, WHO, appliance=first.uid, what="cord cut", found_by="Ida", on=date(2026, 11, 24)
        )
        assert noted.state is ServiceState.WITHDRAWN
        assert noted.notes == "withdrawn: fault found in use by Ida on 24 Nov 2026: cord cut"
        assert len(list_room_checks(here.register)) == 2
        with pytest.raises(InputRefused, match="is withdrawn, not in service"):
            move(here, first, Movement.ISSUED, date(2026, 11, 24))
        set_service_state(here.register, WHO, appliance=second.uid, state=ServiceState.DISPOSED)
        with pytest.raises(InputRefused, match="disposed of"):
            note_fault(here.register, WHO, appliance=second.uid, what="cord cut", on=date(2026, 11, 24))
