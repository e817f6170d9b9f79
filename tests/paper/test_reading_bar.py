"""The bar beside a reading: what it says must follow from reading, limit and uncertainty alone, and never be kinder than the finding."""

from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from appreg.paper.documents.reading_bar import reading_bar, share_of
from appreg.paper.page.limit_bar import HEIGHT, LimitShare, limit_bar
from appreg.paper.page.text_blocks import Form
from tests.paper.paper_samples import EARTH, FAILED_EARTH, INSULATION, LOOKED, NOT_DONE, UNCLEAR, finding

WIDTH = 30.0


def test_half_of_the_limit_is_a_third_of_the_bar_and_all_of_it_reaches_the_line() -> None:
    half = limit_bar(LimitShare(least=D("0.5"), most=D("0.5")), WIDTH)
    whole = limit_bar(LimitShare(least=D(1), most=D(1)), WIDTH)
    (_, solid, line), (_, full, same) = half.badges, whole.badges
    assert (solid.form, line.form) == (Form.BAR, Form.BAR)
    assert solid.w == pytest.approx(WIDTH / 3, abs=0.1)
    assert line.x + line.w / 2 == pytest.approx(WIDTH * 2 / 3, abs=0.1)
    assert full.x + full.w == pytest.approx(same.x + same.w / 2)


@given(least=st.decimals(0, 50, places=3), more=st.decimals(0, 50, places=3), bounded=st.booleans())
def test_no_part_of_a_bar_leaves_its_column(least: D, more: D, bounded: bool) -> None:
    block = limit_bar(LimitShare(least=least, most=least + more if bounded else None, other=D("0.3")), WIDTH)
    for shape in block.badges:
        assert shape.x >= 0
        assert shape.x + shape.w <= WIDTH + 1e-6
        assert shape.y >= 0
        assert shape.y + shape.h <= HEIGHT + 1e-6


def test_a_reading_beyond_its_limit_passes_the_line_and_a_good_insulation_is_short() -> None:
    bad, good = share_of(FAILED_EARTH), share_of(INSULATION)
    assert bad is not None
    assert bad.least > 1
    assert good is not None
    assert (good.least, good.most) == (D(0), D(1) / D(299))


def test_a_reading_between_two_limits_shows_both() -> None:
    timed = finding("rcd-1x", "250", unit="ms", limit_low=D(130), limit_high=D(500), comparison="between")
    share = share_of(timed)
    assert share is not None
    assert (share.least, share.most, share.other) == (D("0.5"), D("0.5"), D("0.26"))
    assert [shape.form for shape in reading_bar(timed, WIDTH).badges].count(Form.BAR) == 3


@pytest.mark.parametrize(
    ("reading", "result", "least", "most"),
    [
        ("<0.05", "pass", D(0), D("0.5")),
        (">0.05", "inconclusive", D("0.5"), None),
        (">0.30", "fail", D(3), None),
        ("OL", "fail", D(1), None),
    ],
)
def test_a_sign_before_the_figure_is_drawn_as_what_it_leaves_open(
    reading: str, result: str, least: D, most: D | None
) -> None:
    share = share_of(replace(EARTH, reading=reading, finding=result, limit_high=D("0.1")))
    assert share is not None
    assert (share.least, share.most) == (least, most)


def test_what_the_instrument_leaves_open_is_drawn_dashed_across_the_limit() -> None:
    close = replace(EARTH, reading="0.09", limit_high=D("0.1"), uncertainty=D("0.02"))
    share = share_of(close)
    assert share is not None
    assert (share.least, share.most) == (D("0.7"), D("1.1"))
    (dashed,) = (shape for shape in reading_bar(close, WIDTH).badges if shape.form is Form.DASHES)
    assert dashed.x < WIDTH * 2 / 3 < dashed.x + dashed.w


def test_an_overrange_display_says_nothing_of_an_insulation() -> None:
    share = share_of(replace(INSULATION, reading="OL", finding="inconclusive"))
    assert share is not None
    assert (share.least, share.most) == (D(0), None)


@pytest.mark.parametrize(
    "nothing",
    [
        LOOKED,
        NOT_DONE,
        replace(EARTH, limit_high=None),
        replace(EARTH, reading="[red]"),
        replace(EARTH, unit="furlongs"),
        replace(EARTH, method='{"left_out":"no earthed metal"}'),
        replace(EARTH, reading="none"),
    ],
)
def test_without_figure_or_limit_there_is_no_bar(nothing: object) -> None:
    assert reading_bar(nothing, WIDTH).height == 0  # type: ignore[arg-type]


def test_a_bar_that_would_contradict_its_finding_is_not_drawn() -> None:
    referred = replace(EARTH, reading="0.13", arithmetic="referred to 20 °C: 0.119 Ω")
    assert share_of(referred) is None
    by_current = replace(INSULATION, reading="0.4", finding="pass")
    assert share_of(by_current) is None
    assert share_of(replace(EARTH, reading="0.02", finding="fail")) is None


@given(
    reading=st.decimals(0, 2, places=3),
    sign=st.sampled_from(["", "<", ">"]),
    spread=st.none() | st.decimals(0, 1, places=3),
)
def test_a_failure_is_never_drawn_as_surely_within_its_limit(reading: D, sign: str, spread: D | None) -> None:
    share = share_of(replace(EARTH, reading=f"{sign}{reading}", finding="fail", uncertainty=spread))
    assert share is None or share.most is None or share.most >= 1


def test_what_is_unclear_is_drawn_without_being_called_good() -> None:
    assert share_of(UNCLEAR) is not None
