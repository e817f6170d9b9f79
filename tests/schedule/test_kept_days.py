"""Days of sites and crews out of what records keep: rules by RFC 5545, closures as lines of a list."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appreg.core.records.kept_records import Site
from appreg.core.records.planning_records import Crew
from appreg.core.values.text import clean
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.schedule.kept_days import closures_in, days_at, days_of_crew, line_of, preferred_at
from appreg.schedule.visiting_days import Closure

_UID = Uid("0" * 26)
SITE = Site(
    uid=_UID, client=_UID, name="Oak School", prefix="OS", environment="public",
    access_days="FREQ=WEEKLY;INTERVAL=2;BYDAY=TU", access_from=date(2026, 12, 1),
    closures=("2026-12-24..2027-01-02 works closed", "2027-01-26"), preferred=("2027-02-15..2027-02-19 half term",),
)  # fmt: skip


def test_every_second_week_counts_from_its_own_day_whenever_a_plan_starts() -> None:
    # From Tuesday 1 December 2026 every second week: 1, 15, (29 closed) December, 12, (26 closed) January, 9 February.
    wanted = (date(2026, 12, 1), date(2026, 12, 15), date(2027, 1, 12), date(2027, 2, 9))
    assert days_at(SITE, date(2026, 11, 24), date(2027, 2, 22)) == wanted
    assert days_at(SITE, date(2026, 12, 8), date(2027, 2, 22)) == wanted[1:]
    holiday = Closure(first=date(2027, 2, 9), last=date(2027, 2, 9))
    assert days_at(SITE, date(2026, 11, 24), date(2027, 2, 22), closures=[holiday]) == wanted[:-1]


def test_a_crew_works_on_its_days_but_where_it_is_away() -> None:
    crew = Crew(uid=_UID, name="North", days="FREQ=WEEKLY;BYDAY=MO,FR", absent=("2026-11-27 course",))
    assert days_of_crew(crew, date(2026, 11, 23), date(2026, 12, 1)) == (date(2026, 11, 23), date(2026, 11, 30))
    usual = Crew(uid=_UID, name="South")
    assert len(days_of_crew(usual, date(2026, 11, 23), date(2026, 11, 29))) == 5


def test_the_days_that_suit_a_site_are_picked_from_others() -> None:
    assert preferred_at(SITE, [date(2027, 2, 14), date(2027, 2, 15), date(2027, 2, 19), date(2027, 2, 20)]) == (
        date(2027, 2, 15),
        date(2027, 2, 19),
    )


@given(
    first=st.dates(date(2000, 1, 1), date(2090, 1, 1)),
    days=st.integers(0, 3000),
    reason=st.text(st.characters(categories=("L", "N"), include_characters=" [=]\"'.,"), max_size=20).map(
        lambda text: clean(" ".join(text.split()), field="x")
    ),
)
def test_a_closure_written_as_a_line_is_read_as_it_was(first: date, days: int, reason: str) -> None:
    shut = Closure(first=first, last=date.fromordinal(first.toordinal() + days), reason=reason)
    assert closures_in([line_of(shut)], field="x") == (shut,)


@pytest.mark.parametrize("line", ["Christmas", "", "# nothing", "2027-01-02..2026-12-24", "2026-12-24\n2026-12-25"])
def test_a_line_that_is_no_closure_is_refused_with_its_field(line: str) -> None:
    with pytest.raises(InputRefused, match=r"^closures: "):
        closures_in([line], field="closures")
