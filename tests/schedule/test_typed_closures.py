"""Closures are typed as people write dates, one or a range, with commas between them."""

from datetime import date

import pytest

from appreg.errors import InputRefused
from appreg.schedule.typed_closures import closures_as_typed, closures_typed
from appreg.schedule.visiting_days import Closure

TODAY = date(2026, 11, 24)
CHRISTMAS = Closure(first=date(2026, 12, 24), last=date(2027, 1, 3))
MAY = Closure(first=date(2027, 5, 1), last=date(2027, 5, 1))


@pytest.mark.parametrize(
    "typed",
    [
        "2026-12-24/2027-01-03, 2027-05-01",
        "2026-12-24..2027-01-03 2027-05-01",
        "24.12.2026..3.1.2027; 1 May 2027",
        "24/12/2026 .. 3 jan 2027,1.5.2027",
        "24 Dec 2026 to 3 January 2027, 2027-05-01,",
    ],
)
def test_days_and_ranges_are_read_in_every_form_of_a_date(typed: str) -> None:
    assert closures_typed(typed, field="Closed", today=TODAY) == (CHRISTMAS, MAY)
    assert closures_typed(" ", field="Closed", today=TODAY) == ()


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("Christmas", "“Christmas” is not a date"),
        ("[red]=1+1", "“[red]=1+1” is not a date"),
        ("..2026-12-25", "“..2026-12-25” is not understood"),
        ("2026-12-24..2026-12-25..2026-12-26", "is not understood"),
        ("2026-12-24..", "is not understood"),
        ("3.1.2027..24.12.2026", "the range ends on 24 Dec 2026, before it begins"),
        ("24.12.2026..3.1.2227", "longer than ten years"),
        ("1 May 2027 (fair", "“1 May 2027 (fair” is not understood"),
        ("1 May 2027 (fair) and more", "is not understood"),
        ("(fair)", "“” is not understood"),
        ("1/2/2027..3/2/2027", "may be 01 Feb 2027 or 02 Jan 2027"),
    ],
)
def test_what_is_no_day_is_refused_in_a_sentence_that_names_the_field(typed: str, said: str) -> None:
    with pytest.raises(InputRefused, match=r"^Closed: .*\.$") as refusal:
        closures_typed(typed, field="Closed", today=TODAY)
    assert said in str(refusal.value)


def test_a_closure_has_its_name_in_brackets_with_commas_and_all_and_goes_back_into_the_field() -> None:
    typed = "24.12.2026..3.1.2027 (works, and [red] =1+1; closed), 1 May 2027 ( fair )"
    found = closures_typed(typed, field="Closed", today=TODAY)
    assert [(each.first, each.last, each.reason) for each in found] == [
        (CHRISTMAS.first, CHRISTMAS.last, "works, and [red] =1+1; closed"),
        (MAY.first, MAY.last, "fair"),
    ]
    shown = closures_as_typed(found)
    assert shown == "24 Dec 2026..03 Jan 2027 (works, and [red] =1+1; closed), 01 May 2027 (fair)"
    assert closures_typed(shown, field="Closed", today=TODAY) == found
