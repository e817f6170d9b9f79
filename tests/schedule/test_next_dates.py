"""Which dates an item gets after its inspections, and why."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appreg.core.records.appliances import ApplianceClass, EquipmentType
from appreg.core.rules.interval_tables import EquipmentKey, IntervalAnswer
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.periods import Period, parse_period
from appreg.errors import InputRefused
from appreg.schedule.due_dates import date_after, next_dates
from appreg.schedule.due_reasons import due_reason
from appreg.schedule.interval_choice import choose_interval

INSPECTED = date(2026, 11, 24)
GB = load_rule_book("gb")


def answer_for(environment: str, cls: str = "1", kind: str = "portable", table: str = "") -> IntervalAnswer:
    key = EquipmentKey(appliance_class=ApplianceClass(cls), equipment_type=EquipmentType(kind))
    return choose_interval(GB, table, environment, key)


def test_visual_and_test_dates_follow_their_own_intervals() -> None:
    dates = next_dates(answer_for("public"), inspected=INSPECTED, tested=INSPECTED, longer=False)
    assert (dates.visual, dates.test) == (date(2027, 2, 24), date(2027, 11, 24))


def test_the_longer_end_of_a_range_is_taken_only_when_asked_for() -> None:
    answer = answer_for("low-risk")
    short = next_dates(answer, inspected=INSPECTED, tested=INSPECTED, longer=False)
    long = next_dates(answer, inspected=INSPECTED, tested=INSPECTED, longer=True)
    assert (short.visual, short.test) == (date(2027, 5, 24), date(2027, 11, 24))
    assert (long.visual, long.test) == (date(2027, 11, 24), date(2028, 11, 24))


def test_a_visual_inspection_alone_moves_only_the_visual_date() -> None:
    dates = next_dates(answer_for("public"), inspected=INSPECTED, tested=date(2026, 6, 1), longer=False)
    assert (dates.visual, dates.test) == (date(2027, 2, 24), date(2027, 6, 1))


def test_an_item_that_was_looked_at_but_never_tested_is_due_for_its_test_at_once() -> None:
    dates = next_dates(answer_for("public"), inspected=INSPECTED, tested=None, longer=False)
    assert dates.test == INSPECTED


def test_none_needed_gives_no_date() -> None:
    dates = next_dates(answer_for("low-risk", "2"), inspected=INSPECTED, tested=INSPECTED, longer=False)
    assert (dates.visual, dates.test) == (date(2028, 11, 24), None)
    battery = next_dates(answer_for("low-risk", "3"), inspected=INSPECTED, tested=None, longer=False)
    assert (battery.visual, battery.test) == (None, None)


def test_events_without_a_figure_give_no_date() -> None:
    dates = next_dates(answer_for("hire"), inspected=INSPECTED, tested=INSPECTED, longer=False)
    assert (dates.visual, dates.test) == (None, None)


def test_a_statutory_longest_interval_asks_for_a_test_where_the_table_needs_none() -> None:
    five = parse_period("P5Y")
    bare = next_dates(answer_for("low-risk", "2"), inspected=INSPECTED, tested=INSPECTED, longer=False, test_max=five)
    assert bare.test == date(2031, 11, 24)
    sooner = next_dates(answer_for("public"), inspected=INSPECTED, tested=INSPECTED, longer=False, test_max=five)
    assert sooner.test == date(2027, 11, 24)


def test_the_default_table_answers_for_an_empty_id() -> None:
    assert answer_for("low-risk").table_id == "hsg107-2013"
    assert answer_for("schools", table="premises-2007").table_id == "premises-2007"


@pytest.mark.parametrize(
    ("table", "environment", "named"),
    [
        ("", "moon", "low-risk, public"),
        ("premises-2007", "low-risk", "schools"),
        ("other", "public", "hsg107-2013, premises-2007"),
    ],
)
def test_an_unknown_table_or_environment_is_refused_naming_the_valid_ones(
    table: str, environment: str, named: str
) -> None:
    with pytest.raises(InputRefused, match=named):
        answer_for(environment, table=table)


@pytest.mark.parametrize(
    ("environment", "cls", "words"),
    [
        ("public", "1", "used by the public, Class I, 1 year"),
        ("low-risk", "1", "low risk, Class I, 1 year"),
        ("low-risk", "2", "low risk, Class II, not hand-held, none needed"),
        ("hire", "unknown", "equipment hire, class not known, before issue"),
    ],
)
def test_the_reason_names_the_row_the_class_and_the_interval(environment: str, cls: str, words: str) -> None:
    answer = answer_for(environment, cls)
    key = EquipmentKey(appliance_class=ApplianceClass(cls), equipment_type=EquipmentType.PORTABLE)
    assert due_reason(answer, answer.test, key, longer=False) == words


@given(start=st.dates(), months=st.integers(0, 12_000), days=st.integers(0, 99_999))
def test_a_date_beyond_the_calendar_is_its_last_day_and_none_lies_before_its_start(
    start: date, months: int, days: int
) -> None:
    if months or days:
        assert start < date_after(start, Period(months=months, days=days)) or start == date.max
    assert date_after(date(9999, 6, 1), Period(months=12)) == date.max
