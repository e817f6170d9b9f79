"""Which inspections tell of an interval, and which of something else."""

from datetime import date
from decimal import Decimal

import pytest

from appreg.core.records.kept_records import InspectionKind
from appreg.core.records.work_records import IntervalKind
from appreg.core.values.periods import Period
from appreg.core.values.uids import Uid
from appreg.schedule.as_found import AsFound, Elapsed, ElapsedRule, FinishedInspection, IntervalInUse

WINDOW = ElapsedRule(least=Decimal("0.75"), most=Decimal("1.5"))
LOOK, TEST = InspectionKind.VISUAL, InspectionKind.COMBINED


def sorted_out(
    *told: tuple[str, InspectionKind, str], what: IntervalKind = IntervalKind.TEST, since: date | None = None
) -> AsFound:
    """Inspections of one item, each a day, a kind, and whether it passed."""
    found, before = AsFound(what, WINDOW), "pass"
    for on, kind, came_to in told:
        each = FinishedInspection(
            appliance=Uid("kettle"),
            kind=kind,
            on=date.fromisoformat(on),
            failed_checks=(),
            failed=came_to == "fail",
            retest=before == "fail",
        )
        found.take(each, IntervalInUse(period=Period(months=12), since=since), failed=each.failed)
        before = came_to
    return found


def test_what_a_test_finds_after_a_failed_look_tells_of_the_repair() -> None:
    found = sorted_out(
        ("2024-01-01", TEST, "pass"),
        ("2024-06-01", LOOK, "fail"),
        ("2024-06-02", LOOK, "pass"),  # a pass without a check counts as a look
        ("2025-01-01", TEST, "pass"),
        ("2026-01-01", TEST, "fail"),
    )
    assert found.left_out == {Elapsed.FIRST: 1, Elapsed.RETEST: 1}
    assert [each.on.year for each in found.counted] == [2026]


def test_looks_are_told_of_by_inspections_of_either_kind() -> None:
    found = sorted_out(
        ("2024-01-01", TEST, "pass"),
        ("2025-01-01", LOOK, "pass"),
        ("2026-01-01", TEST, "pass"),
        what=IntervalKind.VISUAL,
    )
    assert (len(found.counted), found.clean_intervals) == (2, 2)


@pytest.mark.parametrize(("since", "counted"), [("2025-01-01", 1), ("2025-01-02", 0)])
def test_an_interval_that_began_before_it_was_set_does_not_count(since: str, counted: int) -> None:
    found = sorted_out(
        ("2024-01-01", TEST, "pass"),
        ("2025-01-01", TEST, "pass"),
        ("2026-01-01", TEST, "pass"),
        since=date.fromisoformat(since),
    )
    assert len(found.counted) == counted
    assert found.left_out[Elapsed.EARLIER] == 2 - counted


@pytest.mark.parametrize(("on", "weighs"), [("2025-10-02", 0), ("2025-12-31", 0), ("2026-01-01", 1), ("2026-07-01", 1)])
def test_one_inspection_weighs_as_much_of_the_interval_as_had_run_and_never_more_than_one(on: str, weighs: int) -> None:
    found = sorted_out(("2025-01-01", TEST, "pass"), (on, TEST, "pass"))
    assert (len(found.counted), found.clean_intervals) == (1, weighs)


def test_a_failure_found_too_soon_is_left_out_and_told() -> None:
    found = sorted_out(("2025-01-01", TEST, "pass"), ("2025-03-01", TEST, "fail"), ("2025-04-01", TEST, "pass"))
    assert (found.left_out[Elapsed.TOO_SOON], found.early_failures, found.counted) == (1, 1, [])


def test_the_window_is_told_in_words() -> None:
    assert WINDOW.words == "0.75 to 1.5 times the interval after the last pass"
