"""Kept plans: as they were when loaded again, one act a step, undone one after the other, whoever opens them."""

from datetime import date

import pytest
from msgspec.structs import replace

from appreg.core.records.kept_records import Site
from appreg.core.records.planning_records import Crew, KeptPlan, KeptVisit
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused, NotFound
from appreg.register.checking.checking import problems
from appreg.register.history.undoing import undo_change
from appreg.register.opening.register_file import open_register
from appreg.schedule.visiting_days import Closure
from appreg.tasks.planning.book_in_plan import Booking, book_in_plan, cancel_in_plan, change_in_plan
from appreg.tasks.planning.book_visit import booked_visits
from appreg.tasks.planning.change_plan import (
    merge_kept_visits,
    move_kept_visit,
    redo_plan_step,
    split_kept_visit,
    steps_done,
    swap_kept_visits,
    undo_plan_step,
)
from appreg.tasks.planning.keep_plan import (
    PlannedDay,
    days_of,
    keep_plan,
    kept_plans,
    load_plan,
    plan_anew,
    remove_plan,
    rename_plan,
    work_of,
)
from appreg.tasks.planning.plan_visits import PlanWishes, plan_visits
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined

WISHES = PlanWishes(
    start=TODAY,
    days="FREQ=DAILY",
    closures=(Closure(first=date(2026, 12, 24), last=date(2027, 1, 2), reason="[red]"),),
    capacity_minutes=300,
)
MARCH, JUNE = date(2027, 3, 2), date(2027, 6, 1)


@pytest.fixture
def plan(here: WorkedSite) -> KeptPlan:
    """Two days at a site."""
    days = [PlannedDay(site=here.site.uid, day=day) for day in (MARCH, JUNE)]
    return keep_plan(here.register, WHO, name=" Next  year ", on=TODAY, wishes=WISHES, visits=days)


def days(here: WorkedSite, plan: KeptPlan) -> list[date]:
    return [each.day for each in load_plan(here.register, plan.uid).visits]


def visits(here: WorkedSite, plan: KeptPlan) -> tuple[KeptVisit, ...]:
    return load_plan(here.register, plan.uid).visits


def test_a_plan_is_loaded_as_it_was_kept_with_its_terms(here: WorkedSite, plan: KeptPlan) -> None:
    path = here.register.path
    here.register.close()
    with open_register(path, create=False) as register:
        loaded = load_plan(register, plan.uid)
        assert (loaded.plan.name, loaded.plan.whose, loaded.plan.made_on) == ("Next year", WHO, TODAY)
        assert loaded.wishes == WISHES
        assert [(each.site, each.day, each.items) for each in loaded.visits] == [
            (here.site.uid, MARCH, ()),
            (here.site.uid, JUNE, ()),
        ]
        assert kept_plans(register) == (plan,)
        assert list(problems(register)) == []


def test_the_days_of_a_plan_as_it_was_made_are_kept_site_by_site(here: WorkedSite) -> None:
    kettles = [here.kettle(), here.kettle()]
    for kettle in kettles:
        here.record(kettle, combined(), here.visit(date(2026, 6, 24)))
    estate = plan_visits(here.register, trips=[(here.site.uid,)], wishes=WISHES)
    kept = days_of(estate)
    assert [each.day for each in kept] == [visit.day for visit in estate.trips[0].plan.visits]
    assert {frozenset(work_of(each.items)) for each in kept} == {frozenset(kettle.uid for kettle in kettles)}


@pytest.mark.parametrize(("name", "said"), [("  ", "nothing is typed"), ("next YEAR", "already"), ("a\x1bb", "escape")])
@pytest.mark.usefixtures("plan")
def test_a_plan_needs_a_name_of_its_own(here: WorkedSite, name: str, said: str) -> None:
    with pytest.raises(InputRefused, match=said):
        keep_plan(here.register, WHO, name=name, on=TODAY, wishes=WISHES, visits=())


def test_acts_are_undone_one_by_one_the_last_first(here: WorkedSite, plan: KeptPlan) -> None:
    first, second = visits(here, plan)
    stood = [days(here, plan)]
    move_kept_visit(here.register, WHO, first.uid, day=date(2027, 3, 9))
    stood.append(days(here, plan))
    swap_kept_visits(here.register, WHO, first.uid, second.uid)
    assert days(here, plan) == stood[-1]
    assert [each.uid for each in visits(here, plan)] == [second.uid, first.uid]
    plan_anew(
        here.register, WHO, plan.uid, wishes=replace(WISHES, years=1), said="planned for a year",
        visits=[PlannedDay(site=here.site.uid, day=JUNE)],
    )  # fmt: skip
    assert (days(here, plan), load_plan(here.register, plan.uid).wishes.years) == ([JUNE], 1)
    assert steps_done(here.register, plan.uid) == 3
    assert undo_plan_step(here.register, "Zoe", plan.uid) == "planned for a year"
    assert load_plan(here.register, plan.uid).wishes == WISHES
    assert "swapped" in undo_plan_step(here.register, "Zoe", plan.uid)
    assert [each.uid for each in visits(here, plan)] == [first.uid, second.uid]
    assert undo_plan_step(here.register, WHO, plan.uid) == "Harbour Row moved from 02 Mar 2027 to 09 Mar 2027"
    assert (days(here, plan), steps_done(here.register, plan.uid)) == (stood[0], 0)
    with pytest.raises(InputRefused, match="nothing is left to undo"):
        undo_plan_step(here.register, WHO, plan.uid)
    assert load_plan(here.register, plan.uid).plan == plan
    assert list(problems(here.register)) == []


def test_after_undoing_another_act_can_be_done_and_undone(here: WorkedSite, plan: KeptPlan) -> None:
    first, _ = visits(here, plan)
    for day in (date(2027, 3, 9), date(2027, 3, 16)):
        move_kept_visit(here.register, WHO, first.uid, day=day)
    undo_plan_step(here.register, WHO, plan.uid)
    move_kept_visit(here.register, WHO, first.uid, day=date(2027, 3, 23))
    undo_plan_step(here.register, WHO, plan.uid)
    assert days(here, plan)[0] == date(2027, 3, 9)
    undo_plan_step(here.register, WHO, plan.uid)
    assert days(here, plan)[0] == MARCH


def test_a_visit_moved_onto_or_over_its_neighbour_stays_one_of_its_own_until_both_are_merged(
    here: WorkedSite, plan: KeptPlan
) -> None:
    first, second = visits(here, plan)
    move_kept_visit(here.register, WHO, first.uid, day=JUNE)
    assert days(here, plan) == [JUNE, JUNE]
    move_kept_visit(here.register, WHO, first.uid, day=date(2027, 7, 1))
    assert {each.uid: each.day for each in visits(here, plan)} == {first.uid: date(2027, 7, 1), second.uid: JUNE}
    merge_kept_visits(here.register, WHO, second.uid, first.uid)
    assert days(here, plan) == [JUNE]
    undo_plan_step(here.register, WHO, plan.uid)
    assert days(here, plan) == [JUNE, date(2027, 7, 1)]
    with pytest.raises(InputRefused, match="choose another"):
        merge_kept_visits(here.register, WHO, second.uid, second.uid)


def test_a_visit_is_split_by_its_items_and_merged_again(here: WorkedSite, plan: KeptPlan) -> None:
    first, _ = visits(here, plan)
    items = [Uid(here.kettle().uid) for _ in range(3)]
    left, taken = split_kept_visit(
        here.register, WHO, first.uid, day=date(2027, 3, 3), items=items[1:2], all_items=items
    )
    assert (left.items, taken.items) == ((items[0], items[2]), (items[1],))
    merged = merge_kept_visits(here.register, WHO, left.uid, taken.uid)
    assert set(merged.items) == set(items)
    for chosen in ([], items):
        with pytest.raises(InputRefused, match="choose some"):
            split_kept_visit(here.register, WHO, first.uid, day=JUNE, items=chosen, all_items=items)


def test_no_visit_goes_where_the_site_is_closed_or_the_crew_away(here: WorkedSite, plan: KeptPlan) -> None:
    crew = Crew(uid=here.register.new_uid(), name="North", absent=("2027-04-01..2027-04-09 at the sea",))
    shut = replace(here.site, closures=("2027-05-03 gala",))
    with here.register.change(WHO) as change:
        change.put(crew)
        change.put(shut)
    first, _ = visits(here, plan)
    with pytest.raises(InputRefused, match=r"^Harbour Row is closed on 03 May 2027 \(gala\); choose another day\.$"):
        move_kept_visit(here.register, WHO, first.uid, day=date(2027, 5, 3))
    with pytest.raises(InputRefused, match=r"^North is not there on 01 Apr 2027 \(at the sea\); choose another day\.$"):
        move_kept_visit(here.register, WHO, first.uid, day=date(2027, 4, 1), crew=crew.uid)
    assert steps_done(here.register, plan.uid) == 0


def test_a_plan_that_was_removed_comes_back_whole(here: WorkedSite, plan: KeptPlan) -> None:
    before = load_plan(here.register, plan.uid)
    removed = remove_plan(here.register, WHO, plan.uid)
    with pytest.raises(NotFound):
        load_plan(here.register, plan.uid)
    assert here.register.find(KeptVisit) == []
    undo_change(here.register, WHO, removed)
    assert load_plan(here.register, plan.uid) == before


def test_a_plan_is_renamed_and_terms_that_cannot_be_read_are_said(here: WorkedSite, plan: KeptPlan) -> None:
    assert rename_plan(here.register, WHO, plan.uid, name="The year after").name == "The year after"
    with here.register.change(WHO) as change:
        change.put(replace(plan, terms='{"years": "many"}'))
    with pytest.raises(InputRefused, match="terms of the plan Next year cannot be read; plan it anew"):
        load_plan(here.register, plan.uid)


def test_two_desks_that_change_one_plan_are_told(here: WorkedSite, plan: KeptPlan) -> None:
    with open_register(here.register.path, create=False) as other:
        first, _ = visits(here, plan)
        move_kept_visit(here.register, WHO, first.uid, day=date(2027, 3, 9))
        move_kept_visit(other, "Zoe", first.uid, day=date(2027, 3, 16))
        # The stack is the plan's, and not a desk's.
        undo_plan_step(here.register, WHO, plan.uid)
        assert days(here, plan)[0] == date(2027, 3, 9)
        assert other.get(Site, here.site.uid) == here.site


def test_what_was_undone_is_done_again_until_another_act_comes(here: WorkedSite, plan: KeptPlan) -> None:
    first, second = visits(here, plan)
    move_kept_visit(here.register, WHO, first.uid, day=date(2027, 3, 9))
    move_kept_visit(here.register, WHO, second.uid, day=date(2027, 6, 8))
    after = days(here, plan)
    undo_plan_step(here.register, WHO, plan.uid)
    undo_plan_step(here.register, WHO, plan.uid)
    assert days(here, plan) == [MARCH, JUNE]
    assert redo_plan_step(here.register, WHO, plan.uid).endswith("to 09 Mar 2027")
    assert redo_plan_step(here.register, WHO, plan.uid).endswith("to 08 Jun 2027")
    assert days(here, plan) == after
    with pytest.raises(InputRefused, match="nothing is left to do again"):
        redo_plan_step(here.register, WHO, plan.uid)
    undo_plan_step(here.register, WHO, plan.uid)
    move_kept_visit(here.register, WHO, first.uid, day=date(2027, 3, 16))
    with pytest.raises(InputRefused, match="nothing is left to do again"):
        redo_plan_step(here.register, WHO, plan.uid)
    assert list(problems(here.register)) == []


def test_whoever_was_booked_can_be_left_out_again_and_what_another_desk_changed_is_not_overwritten(
    here: WorkedSite, plan: KeptPlan
) -> None:
    wren = Booking(day=MARCH, person=here.person.uid)
    booked = book_in_plan(here.register, WHO, plan.uid, site=here.site.uid, wanted=wren)
    nobody = change_in_plan(here.register, WHO, plan.uid, booked=booked, wanted=Booking(day=MARCH, note="gate 2"))
    assert (nobody.person, nobody.crew, nobody.note) == (None, None, "gate 2")
    with pytest.raises(InputRefused, match="Another desk changed"):
        change_in_plan(here.register, WHO, plan.uid, booked=booked, wanted=Booking(day=JUNE))
    with pytest.raises(InputRefused, match="Another desk changed"):
        cancel_in_plan(here.register, WHO, plan.uid, booked)
    assert booked_visits(here.register) == (nobody,)


def test_a_visit_is_booked_moved_and_cancelled_as_acts_upon_the_plan(here: WorkedSite, plan: KeptPlan) -> None:
    first, _ = visits(here, plan)
    with_wren = Booking(day=date(2027, 3, 3), person=here.person.uid, confirmed=True)
    booked = book_in_plan(here.register, WHO, plan.uid, site=here.site.uid, visit=first.uid, wanted=with_wren)
    assert (days(here, plan)[0], booked.day, booked.confirmed) == (date(2027, 3, 3), date(2027, 3, 3), True)
    later = Booking(day=date(2027, 3, 4), person=here.person.uid, note="by the yard")
    moved = change_in_plan(here.register, WHO, plan.uid, booked=booked, visit=first.uid, wanted=later)
    assert (moved.day, moved.confirmed, moved.note, moved.event) == (later.day, False, "by the yard", booked.event)
    cancel_in_plan(here.register, WHO, plan.uid, moved)
    assert (booked_visits(here.register), days(here, plan)[0]) == ((), later.day)
    for stood in (moved, booked):
        undo_plan_step(here.register, WHO, plan.uid)
        assert booked_visits(here.register) == (stood,)
        assert days(here, plan)[0] == stood.day
    assert undo_plan_step(here.register, WHO, plan.uid) == "Harbour Row booked for 03 Mar 2027 with Wren A"
    assert (booked_visits(here.register), days(here, plan)) == ((), [MARCH, JUNE])
    assert list(problems(here.register)) == []
