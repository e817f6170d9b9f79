"""What counts as later is the journal's order, whatever the clock and whatever date was given."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec import Struct
from msgspec.structs import replace

from appreg.clock import Clock, Instant
from appreg.core.records.appliances import ServiceState
from appreg.core.records.checks import Entries
from appreg.core.records.kept_records import Appliance, Inspection, InspectionKind, LabelKind, QueuedLabel
from appreg.core.records.work_records import Movement
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid, uid_from
from appreg.errors import InputRefused
from appreg.register.journal import changes
from appreg.register.journal.uid_source import UidSource
from appreg.register.lists.inspection_lists import inspections_of, inspections_of_visit
from appreg.register.lists.sight import Sight
from appreg.register.opening.register_file import open_register
from appreg.tasks.inspecting.choose_visit import visit_of_day, visits_of
from appreg.tasks.inspecting.open_bench import items_for_visit
from appreg.tasks.inspecting.record_repair import open_actions
from appreg.tasks.inspecting.take_back_inspection import take_back_inspection
from appreg.tasks.items.list_blocked import blocks_of
from appreg.tasks.items.record_movement import record_movement
from appreg.tasks.keeping.begin_work import Search, begin_work
from appreg.tasks.keeping.verify_register import verify_register
from appreg.tasks.standing.settle_standing import Standing, standing_of
from appreg.ui.screens.bench.bench_walk import last_kept
from tests.campaign.trial import Trial
from tests.campaign.try_clock_steps import run
from tests.register.sample_register import INSPECTION
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined, worked_site

NOON = 1_795_521_600_000
"""24 November 2026, ms."""
DAY = timedelta(days=1)
HOUR = 3_600_000
FAILS = combined(earth="0.5")
PASSES = combined()


class OnePlace(Sight):
    """All was recorded in one place."""

    def __init__(self) -> None:
        self._several = False


class Hands(Struct):
    """A clock that is set by hand; it goes on by a second at each look."""

    at: int = NOON

    def __call__(self) -> Instant:
        self.at += 1000
        return Instant(self.at)


@pytest.fixture
def hands() -> Hands:
    return Hands()


@pytest.fixture(name="here")
def _here(tmp_path: Path, hands: Hands) -> Iterator[WorkedSite]:
    with site_with(tmp_path, hands) as here:
        yield here


@contextmanager
def site_with(folder: Path, clock: Clock, environment: str = "low-risk") -> Iterator[WorkedSite]:
    with (
        worked_site(folder, environment=environment) as made,
        open_register(made.register.path, clock=clock) as register,
    ):
        yield replace(made, register=register)


def labels(here: WorkedSite, item: Appliance) -> list[LabelKind]:
    return [each.kind for each in here.register.find(QueuedLabel, appliance=item.uid, printed_on=None)]


@pytest.mark.parametrize("back", [2_000, HOUR, 11 * HOUR])
def test_a_failure_saved_after_a_pass_of_the_day_counts_though_the_clock_stepped_back(
    back: int, here: WorkedSite, hands: Hands
) -> None:
    kettle, visit = here.kettle(), here.visit()
    here.record(kettle, PASSES, visit)
    hands.at -= back
    here.record(kettle, FAILS, visit)
    assert here.again(kettle).last_outcome is Outcome.FAIL
    assert here.again(kettle).state is ServiceState.WITHDRAWN
    assert labels(here, kettle) == [LabelKind.DO_NOT_USE]
    assert [each.outcome for each in inspections_of(here.register, kettle.uid)] == [Outcome.FAIL, Outcome.PASS]
    assert [each.outcome for each in inspections_of_visit(here.register, visit.uid)] == [Outcome.PASS, Outcome.FAIL]
    assert verify_register(here.register) == ()


def test_what_was_left_incomplete_after_a_pass_of_the_day_is_the_latest_result(here: WorkedSite, hands: Hands) -> None:
    kettle, visit = here.kettle(), here.visit()
    here.record(kettle, PASSES, visit)
    hands.at -= HOUR
    here.record(kettle, combined(earth=""), visit)
    assert here.again(kettle).last_outcome is Outcome.INCOMPLETE
    assert labels(here, kettle) == []


def test_a_retest_that_passes_returns_the_item_though_the_clock_stepped_back(here: WorkedSite, hands: Hands) -> None:
    kettle, visit = here.kettle(), here.visit()
    here.record(kettle, FAILS, visit)
    hands.at -= HOUR
    here.record(kettle, PASSES, visit)
    assert here.again(kettle).last_outcome is Outcome.PASS
    assert here.again(kettle).state is ServiceState.IN_SERVICE
    assert labels(here, kettle) == [LabelKind.PASS]
    assert open_actions(here.register) == ()


def test_a_retest_dated_before_the_failure_leaves_it_standing_and_says_what_to_do(here: WorkedSite) -> None:
    kettle = here.kettle()
    here.record(kettle, PASSES, here.visit(TODAY - 90 * DAY))
    failed = here.record(kettle, FAILS, here.visit(TODAY)).appliance
    retest = here.record(kettle, PASSES, here.visit(TODAY - 2 * DAY))
    assert retest.appliance == failed
    assert retest.label is None
    assert labels(here, kettle) == [LabelKind.DO_NOT_USE]
    assert len(open_actions(here.register)) == 1
    assert retest.caution == (
        "HR-001 passed, but on a visit of 22 Nov 2026, before its failure of 24 Nov 2026: the failure stands. If the date "
        "is wrong, set this machine's clock right or start a visit with the right date, and inspect it there."
    )
    again = here.record(kettle, PASSES, here.visit(TODAY))
    assert (again.caution, again.appliance.last_outcome) == ("", Outcome.PASS)


def test_a_failure_saved_later_but_dated_before_a_pass_stands(here: WorkedSite) -> None:
    kettle = here.kettle()
    passed = here.record(kettle, PASSES, here.visit(TODAY)).appliance
    failed = here.record(kettle, FAILS, here.visit(TODAY - 2 * DAY)).appliance
    assert (failed.last_outcome, failed.state) == (Outcome.FAIL, ServiceState.WITHDRAWN)
    assert (failed.next_visual, failed.next_test) == (passed.next_visual, passed.next_test)
    assert labels(here, kettle) == [LabelKind.DO_NOT_USE]


def test_a_correction_stands_where_the_record_it_replaces_stood(here: WorkedSite, hands: Hands) -> None:
    kettle, visit = here.kettle(), here.visit()
    first = here.record(kettle, FAILS, visit)
    hands.at -= HOUR
    second = here.record(kettle, PASSES, visit)
    hands.at -= HOUR
    here.record(kettle, FAILS, visit, supersedes=first.inspection.uid, reason="misread")
    assert here.again(kettle).last_inspection == second.inspection.uid
    (walked,) = items_for_visit(here.register, visit.uid)
    assert walked.inspection is not None
    assert walked.inspection.uid == second.inspection.uid


def test_a_repair_is_open_again_when_the_pass_that_closed_it_turns_out_doubtful(here: WorkedSite) -> None:
    kettle, visit = here.kettle(), here.visit()
    here.record(kettle, FAILS, visit)
    passed = here.record(kettle, PASSES, visit)
    here.record(kettle, combined(earth=""), visit, supersedes=passed.inspection.uid, reason="misread")
    assert len(open_actions(here.register)) == 1
    assert here.again(kettle).state is ServiceState.WITHDRAWN


def test_a_failure_corrected_to_doubt_is_put_right_by_a_whole_test_only(here: WorkedSite) -> None:
    kettle, visit = here.kettle(), here.visit()
    failed = here.record(kettle, FAILS, visit)
    here.record(kettle, combined(earth=""), visit, supersedes=failed.inspection.uid, reason="misread")
    here.record(kettle, Entries(visual=True), visit, kind=InspectionKind.VISUAL)
    assert here.again(kettle).state is ServiceState.WITHDRAWN
    here.record(kettle, PASSES, visit)
    assert here.again(kettle).state is ServiceState.IN_SERVICE
    assert open_actions(here.register) == ()


def test_undo_on_the_bench_takes_back_what_was_saved_last(here: WorkedSite, hands: Hands) -> None:
    first, second, visit = here.kettle(), here.kettle(), here.visit()
    here.record(first, PASSES, visit)
    hands.at -= HOUR
    later = here.record(second, FAILS, visit)
    assert last_kept(items_for_visit(here.register, visit.uid)) == later.inspection.uid


def test_undo_leaves_an_item_as_its_other_inspections_have_it(here: WorkedSite) -> None:
    kettle = here.kettle()
    newer = here.record(kettle, PASSES, here.visit(TODAY))
    older = here.record(kettle, PASSES, here.visit(TODAY - 60 * DAY))
    assert take_back_inspection(here.register, WHO, newer.inspection.uid).last_inspection == older.inspection.uid
    assert verify_register(here.register) == ()


def test_an_item_returned_after_its_test_is_blocked_though_the_clock_stepped_back(tmp_path: Path, hands: Hands) -> None:
    with site_with(tmp_path, hands, "hire") as here:
        kettle = here.kettle()
        here.record(kettle, PASSES, here.visit(TODAY))
        record_movement(here.register, WHO, appliance=kettle.uid, movement=Movement.ISSUED, on=TODAY - 3 * DAY)
        here.record(kettle, PASSES, here.visit(TODAY))
        hands.at -= 2 * 24 * HOUR
        record_movement(here.register, WHO, appliance=kettle.uid, movement=Movement.RETURNED, on=TODAY - 2 * DAY)
        assert {block.event for block in blocks_of(here.register, here.again(kettle))} == {
            "before issue",
            "after return",
        }
        with pytest.raises(InputRefused, match="must not be issued"):
            record_movement(here.register, WHO, appliance=kettle.uid, movement=Movement.ISSUED, on=TODAY)
        here.record(kettle, PASSES, here.visit(TODAY - 2 * DAY))
        assert blocks_of(here.register, here.again(kettle)) == ()


def test_visits_and_repairs_of_one_day_stand_in_the_order_they_were_begun(here: WorkedSite, hands: Hands) -> None:
    first = here.visit()
    hands.at -= HOUR
    second = here.visit()
    assert [each.uid for each in visits_of(here.register, here.site.uid)] == [first.uid, second.uid]
    assert visit_of_day(here.register, here.site.uid, TODAY) == second
    kettle = here.kettle()
    here.record(kettle, FAILS, first)
    hands.at -= HOUR
    last = here.record(kettle, FAILS, second)
    assert open_actions(here.register, kettle.uid)[-1].inspection == last.inspection.uid


def test_no_key_is_below_the_journals_last_time_however_many_laptops_write(here: WorkedSite, hands: Hands) -> None:
    with open_register(here.register.path, clock=lambda: Instant(hands.at + 10 * HOUR)) as ahead:
        made: list[Uid] = []
        for register in (here.register, ahead, here.register, ahead, ahead, here.register) * 3:
            visit = replace(here, register=register).visit()
            made += [visit.uid, register.new_uid()]
            hands.at -= HOUR
    visits = made[::2]
    assert visits == sorted(visits)
    assert all(loose > kept for kept, loose in zip(visits, made[1::2], strict=True))


# What an older version left behind: keys from the raw clock, and rows settled by date and key.


@pytest.fixture
def keys_of_the_clock(monkeypatch: pytest.MonkeyPatch, hands: Hands) -> None:
    """Keys as the version before made them."""
    source = UidSource(hands)
    monkeypatch.setattr(changes, "UidSource", lambda *_: _Raw(source))


class _Raw(Struct, frozen=True):
    source: UidSource

    def new_uid(self) -> Uid:
        before = self.source._milliseconds
        self.source._milliseconds = min(before, self.source._clock())
        return self.source.new_uid()


def settled_as_before(here: WorkedSite, item: Appliance, shown: Inspection) -> None:
    """Leave an item as the version before left it: the pass with the greatest key, in service, its label waiting."""
    with here.register.change(WHO) as change:
        change.put(
            replace(
                here.again(item),
                state=ServiceState.IN_SERVICE,
                last_inspection=shown.uid,
                last_date=shown.date,
                last_outcome=shown.outcome,
            )
        )
        for label in here.register.find(QueuedLabel, appliance=item.uid):
            change.put(replace(label, inspection=shown.uid, kind=LabelKind.PASS))


def begun(here: WorkedSite, search: Search = Search.QUICK) -> tuple[str, ...]:
    return begin_work(here.register, environ={}, now=Instant(NOON + HOUR), search=search)


@pytest.mark.usefixtures("keys_of_the_clock")
def test_a_register_settled_wrongly_is_noticed_and_settled_anew_when_work_begins(
    here: WorkedSite, hands: Hands
) -> None:
    kettle, visit = here.kettle(), here.visit()
    passed = here.record(kettle, PASSES, visit).inspection
    hands.at -= HOUR
    failed = here.record(kettle, FAILS, visit).inspection
    assert failed.uid < passed.uid
    assert here.again(kettle).last_outcome is Outcome.FAIL
    settled_as_before(here, kettle, passed)
    assert [problem.sentence for problem in verify_register(here.register)] == [
        "appliance HR-001: it shows pass of 24 Nov 2026, but its inspections come to fail of 24 Nov 2026; inspect it again before it is used.",
        "appliance HR-001: it is in service although its failure of 24 Nov 2026 stands; inspect it again before it is used.",
        "appliance HR-001: a pass label waits for it although its failure of 24 Nov 2026 stands; inspect it again before it is used.",
    ]
    (said,) = begun(here)
    assert said.startswith("Settled anew, as their inspections count in the order in which they were saved")
    assert "HR-001 fail (shown as pass)" in said
    # Neither the clock nor a late date need be the cause.
    assert "altered behind the register's back" in said
    assert "`appreg verify`" in said
    item = here.again(kettle)
    assert (item.last_inspection, item.state) == (failed.uid, ServiceState.WITHDRAWN)
    assert labels(here, kettle) == [LabelKind.DO_NOT_USE]
    assert verify_register(here.register) == ()
    assert begun(here) == begun(here, Search.WHOLE) == ()


@pytest.mark.usefixtures("keys_of_the_clock")
def test_doubt_settled_wrongly_is_found_by_the_whole_search(here: WorkedSite, hands: Hands) -> None:
    kettle, visit = here.kettle(), here.visit()
    passed = here.record(kettle, PASSES, visit).inspection
    hands.at -= HOUR
    here.record(kettle, combined(earth=""), visit)
    settled_as_before(here, kettle, passed)
    assert begun(here, Search.NONE) == ()
    (said,) = begun(here, Search.WHOLE)
    assert "HR-001 incomplete (shown as pass)" in said
    assert here.again(kettle).last_outcome is Outcome.INCOMPLETE


def test_a_failure_whose_repair_was_closed_by_a_look_is_found_before_anything_is_shown(here: WorkedSite) -> None:
    kettle = here.kettle()
    passed = here.record(kettle, PASSES, here.visit(TODAY)).inspection
    here.record(kettle, FAILS, here.visit(TODAY - 2 * DAY))
    looked = replace(passed, uid=here.register.new_uid(), kind=InspectionKind.VISUAL)
    (action,) = open_actions(here.register)
    with here.register.change(WHO) as change:
        change.put(looked)
        change.put(replace(action, closed_by=looked.uid))
    settled_as_before(here, kettle, looked)
    (said,) = begun(here)
    assert "HR-001 fail (shown as pass)" in said
    assert [each.uid for each in open_actions(here.register)] == [action.uid]


def test_a_sound_register_is_looked_at_and_left_alone(here: WorkedSite) -> None:
    kettle = here.kettle()
    here.record(kettle, FAILS, here.visit(TODAY - DAY))
    here.record(kettle, PASSES, here.visit())
    here.record(here.kettle(), FAILS, here.visit())
    before = here.register.last_instant()
    assert begun(here, Search.WHOLE) == ()
    assert here.register.last_instant() == before


def test_the_journal_says_who_settled_anew(here: WorkedSite) -> None:
    kettle = here.kettle()
    passed = here.record(kettle, PASSES, here.visit()).inspection
    here.record(kettle, FAILS, here.visit(TODAY - DAY))
    settled_as_before(here, kettle, passed)
    begun(here)
    assert here.register.rows("SELECT DISTINCT who, reason FROM journal WHERE who = 'appreg' AND reason GLOB 's*'") == [
        ("appreg", "settled anew in the journal's order")
    ]


def test_what_cannot_be_settled_now_is_said(here: WorkedSite) -> None:
    kettle = here.kettle()
    passed = here.record(kettle, PASSES, here.visit()).inspection
    here.record(kettle, FAILS, here.visit(TODAY - DAY))
    settled_as_before(here, kettle, passed)
    here.register.connection.execute("PRAGMA query_only = ON")
    (said,) = begun(here)
    assert said.startswith(
        "Do not rely on what these items show, it cannot be settled now: HR-001 fail (shown as pass)."
    )


# The rule itself, applied to any sequence by brute force.

_ONE = st.tuples(
    st.sampled_from(Outcome), st.sampled_from(InspectionKind), st.integers(-3, 3), st.booleans(), st.integers(0, 5)
)


@given(st.lists(_ONE, max_size=9))
def test_the_standing_is_the_rule_applied_to_the_journals_order(
    drawn: list[tuple[Outcome, InspectionKind, int, bool, int]],
) -> None:
    saved: list[Inspection] = []
    replaced: set[Uid] = set()
    for number, (outcome, kind, days, corrects, which) in enumerate(drawn):
        open_to_it = [each for each in saved if each.uid not in replaced]
        old = open_to_it[which % len(open_to_it)] if corrects and open_to_it else None
        if old is not None:
            replaced.add(old.uid)
        made = replace(
            INSPECTION,
            uid=uid_from(NOON - number * 1000, 0),
            outcome=outcome,
            kind=kind,
            date=old.date if old is not None else TODAY + days * DAY,
            supersedes=old.uid if old is not None else None,
        )
        saved.append(made)
    counting = [each for each in saved if each.uid not in replaced]
    standing = standing_of(reversed(counting), saved, sight=OnePlace())
    _check(standing, counting, saved)


def _check(standing: Standing, counting: list[Inspection], saved: list[Inspection]) -> None:
    def turn(each: Inspection) -> int:
        origin = each
        while origin.supersedes is not None:
            origin = next(other for other in saved if other.uid == origin.supersedes)
        return saved.index(origin)

    def put_right(failure: Inspection) -> bool:
        return any(
            each.outcome is Outcome.PASS
            and each.kind is InspectionKind.COMBINED
            and turn(each) > turn(failure)
            and each.date >= failure.date
            for each in counting
        )

    failures = [each for each in counting if each.outcome is Outcome.FAIL]
    stands = [each for each in failures if not put_right(each)]
    assert (standing.failure is None) == (not stands)
    assert standing.failure is None or standing.failure in stands
    assert (standing.last is None) == (not counting)
    if stands:
        assert standing.last is not None
        assert standing.last.outcome is not Outcome.PASS
    elif counting:
        assert standing.last == max(counting, key=lambda each: (each.date, turn(each)))
    passes = [each.date for each in counting if each.outcome is Outcome.PASS]
    assert standing.passed_on is None or standing.passed_on in passes
    if not failures:
        assert standing.passed_on == max(passes, default=None)


@given(st.lists(_ONE, min_size=1, max_size=6), st.integers(-3, 3))
def test_a_pass_beside_a_standing_failure_moves_no_date(
    drawn: list[tuple[Outcome, InspectionKind, int, bool, int]], days: int
) -> None:
    saved = [
        replace(INSPECTION, uid=uid_from(NOON, number), outcome=outcome, kind=kind, date=TODAY + away * DAY)
        for number, (outcome, kind, away, _, _) in enumerate(drawn)
    ]
    retest = replace(
        INSPECTION,
        uid=uid_from(NOON, len(saved)),
        outcome=Outcome.PASS,
        kind=InspectionKind.COMBINED,
        date=TODAY + days * DAY,
    )
    before = standing_of(saved, saved, sight=OnePlace())
    after = standing_of([*saved, retest], [*saved, retest], sight=OnePlace())
    if after.failure is not None:
        assert (after.passed_on, after.tested_on) == (before.passed_on, before.tested_on)


def test_five_hundred_clock_steps_leave_no_wrong_state(tmp_path: Path) -> None:
    trial = Trial(name="clock_steps", seed=3, folder=tmp_path, seconds=60, most=3)
    run(trial)
    assert trial.faults == []
    assert trial.counts["clock steps"] > 50
