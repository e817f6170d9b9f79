"""A date is overdue only after its day; no date means none needed only once an item has been inspected."""

from datetime import date, timedelta

import pytest

from appreg.schedule.due_states import DueState, due_state

TODAY = date(2026, 11, 24)


@pytest.mark.parametrize(
    ("days", "expected"),
    [
        (-400, DueState.OVERDUE),
        (-1, DueState.OVERDUE),
        (0, DueState.DUE_SOON),
        (30, DueState.DUE_SOON),
        (31, DueState.IN_DATE),
        (4000, DueState.IN_DATE),
    ],
)
def test_the_state_follows_the_days_left(days: int, expected: DueState) -> None:
    due = TODAY + timedelta(days=days)
    assert due_state(due, inspected=True, today=TODAY, within_days=30) is expected


def test_no_date_is_none_needed_after_an_inspection_and_never_inspected_before() -> None:
    assert due_state(None, inspected=True, today=TODAY, within_days=30) is DueState.NOT_NEEDED
    assert due_state(None, inspected=False, today=TODAY, within_days=30) is DueState.NEVER


def test_with_no_warning_time_only_the_day_itself_is_due_soon() -> None:
    assert due_state(TODAY, inspected=True, today=TODAY, within_days=0) is DueState.DUE_SOON
    assert due_state(TODAY + timedelta(days=1), inspected=True, today=TODAY, within_days=0) is DueState.IN_DATE
