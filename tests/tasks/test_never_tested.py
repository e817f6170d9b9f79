"""An item that never passed a test is due for it since it was first seen, however often it is looked at."""

from datetime import date

from msgspec.structs import replace

from appreg.core.records.checks import Entries
from appreg.core.records.kept_records import InspectionKind
from appreg.register.lists.damaged_items import items_in_doubt
from appreg.schedule.due_states import DueState
from appreg.tasks.keeping.begin_work import mend_found
from appreg.tasks.keeping.verify_register import verify_register
from appreg.tasks.planning.list_due import list_due
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined

FIRST, AGAIN = date(2024, 3, 4), date(2025, 9, 1)


def looked_at_twice(here: WorkedSite) -> None:
    kettle = here.kettle("HR-001")
    for day in (FIRST, AGAIN):
        here.record(kettle, Entries(visual=True), here.visit(day), kind=InspectionKind.VISUAL)


def test_a_visual_inspection_does_not_move_the_first_test_and_its_age_is_told(here: WorkedSite) -> None:
    looked_at_twice(here)
    line = next(line for line in list_due(here.register, today=TODAY).lines if line.what == "test")
    assert (line.due, line.state, line.days) == (FIRST, DueState.OVERDUE, (FIRST - TODAY).days)
    assert line.because == "never tested, here since 04 Mar 2024; low risk, Class I, 1 year"


def test_a_test_that_passed_has_no_such_words_however_long_it_is_overdue(here: WorkedSite) -> None:
    kettle = here.kettle()
    here.record(kettle, combined(), here.visit(FIRST))
    here.record(kettle, Entries(visual=True), here.visit(AGAIN), kind=InspectionKind.VISUAL)
    line = next(line for line in list_due(here.register, today=TODAY).lines if line.what == "test")
    assert (line.due, line.because) == (date(2025, 3, 4), "low risk, Class I, 1 year")


def test_what_never_passed_anything_is_due_since_the_first_of_its_inspections(here: WorkedSite) -> None:
    kettle = here.kettle()
    for day in (FIRST, AGAIN):
        here.record(kettle, combined(insulation=""), here.visit(day))
    again = here.again(kettle)
    assert (again.next_visual, again.next_test) == (FIRST, FIRST)


def test_a_first_test_that_an_older_version_dated_later_is_settled_anew_and_said(here: WorkedSite) -> None:
    looked_at_twice(here)
    other = here.kettle("HR-002")
    here.record(other, combined(), here.visit(FIRST))
    (item,) = [each for each in list_due(here.register, today=TODAY).lines if each.appliance.tag == "HR-001"][:1]
    with here.register.change(WHO) as change:
        change.put(replace(item.appliance, next_test=AGAIN))
    assert items_in_doubt(here.register) == [item.appliance.uid]
    assert mend_found(here.register, items_in_doubt(here.register)) == (
        "Never tested, so their first test is now due since they were first inspected: HR-001.",
    )
    assert here.again(item.appliance).next_test == FIRST
    assert items_in_doubt(here.register) == []
    assert verify_register(here.register) == ()
