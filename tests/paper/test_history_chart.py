"""Readings drawn over their days: places follow from figures alone, and nothing leaves the chart."""

from collections.abc import Iterator
from datetime import date, timedelta
from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from appreg.core.values.outcomes import Outcome
from appreg.paper.documents.item_lines import InspectedItem
from appreg.paper.documents.reading_history import reading_series
from appreg.paper.page.history_chart import HEIGHT, ChartPoint, history_chart
from appreg.paper.page.page_canvas import PageCanvas
from appreg.paper.page.text_blocks import Badge, Form
from tests.paper.paper_samples import EARTH, FAILED_EARTH, INSULATION, LOOKED, TODAY, item

WIDTH = 170.0


@pytest.fixture(scope="module")
def canvas() -> Iterator[PageCanvas]:
    with PageCanvas(title="", created=TODAY) as opened:
        yield opened


def point(value: str, on: date = TODAY, high: str = "0.1", form: Form = Form.FRAME) -> ChartPoint:
    read = D(value)
    return ChartPoint(
        on=on,
        value=read,
        least=read,
        most=read,
        form=form,
        words=f"{value} Ω",
        low=None,
        high=D(high),
        limit=f"≤ {high} Ω",
    )


def squares(block_badges: tuple[Badge, ...]) -> list[Badge]:
    return [each for each in block_badges if each.w == each.h]


def test_a_reading_of_half_the_limit_stands_half_as_high_as_its_line(canvas: PageCanvas) -> None:
    block = history_chart([point("0.05")], WIDTH, canvas)
    (mark,) = squares(block.badges)
    frame, line = block.badges[0], next(each for each in block.badges if each.form is Form.BAR)
    foot = frame.y + frame.h
    assert foot - (mark.y + mark.h / 2) == pytest.approx((foot - (line.y + line.h / 2)) / 2)


def test_the_limit_steps_on_the_day_from_which_another_was_applied(canvas: PageCanvas) -> None:
    days = [TODAY - timedelta(days=730), TODAY - timedelta(days=365), TODAY]
    block = history_chart(
        [point("0.05", days[0]), point("0.05", days[1], "0.2"), point("0.05", days[2], "0.2")], WIDTH, canvas
    )
    second = squares(block.badges)[1]
    (step,) = (
        each for each in block.badges if each.form is Form.BAR and each.h > each.w and each not in squares(block.badges)
    )
    assert step.x + step.w / 2 == pytest.approx(second.x + second.w / 2)
    texts = [mark.text for mark in block.marks]
    assert "≤ 0.1 Ω" in texts
    assert "≤ 0.2 Ω" in texts


def test_of_a_limit_from_below_readings_stand_by_powers_of_ten(canvas: PageCanvas) -> None:
    values = ("1", "10", "100")
    points = [
        replace(point(value, TODAY + timedelta(days=place)), low=D(1), high=None) for place, value in enumerate(values)
    ]
    one, ten, hundred = (each.y for each in squares(history_chart(points, WIDTH, canvas).badges))
    assert one - ten == pytest.approx(ten - hundred)
    assert one > ten


figures = st.decimals(0, 500, places=3)


@given(
    values=st.lists(st.tuples(figures, figures, st.booleans(), st.integers(0, 4000)), min_size=1, max_size=12),
    upper=st.decimals("0.001", 20, places=3),
    from_below=st.booleans(),
)
def test_whatever_was_read_no_part_of_the_chart_leaves_it(
    canvas: PageCanvas, values: list[tuple[D, D, bool, int]], upper: D, from_below: bool
) -> None:
    points = [
        replace(
            point(str(read), date(2015, 1, 1) + timedelta(days=days)),
            most=read + more if bounded else None,
            low=upper if from_below else None,
            high=None if from_below else upper,
        )
        for read, more, bounded, days in sorted(values, key=lambda each: each[3])
    ]
    block = history_chart(points, WIDTH, canvas)
    for shape in block.badges:
        assert shape.x >= 0
        assert shape.x + shape.w <= WIDTH
        assert shape.y >= 0
        assert shape.y + shape.h <= HEIGHT
    for mark in block.marks:
        assert mark.x >= 0
        assert mark.x + canvas.measure(mark.text, mark.ink) <= WIDTH + 8
        assert 0 < mark.y <= HEIGHT


def test_only_readings_that_were_taken_alike_share_a_series() -> None:
    at_250 = replace(INSULATION, method='{"test_volts":250}')
    at_500 = replace(INSULATION, method='{"test_volts":500}')
    lines: list[InspectedItem] = [
        item(1, "Kettle", Outcome.PASS, LOOKED, EARTH, at_250),
        item(1, "Kettle", Outcome.FAIL, LOOKED, FAILED_EARTH, at_500),
    ]
    series = reading_series(lines)
    assert [each.title for each in series] == [
        "earth continuity",
        "insulation resistance · at 250 V d.c.",
        "insulation resistance · at 500 V d.c.",
    ]
    assert [each.form for each in series[0].points] == [Form.FRAME, Form.BAR]
    assert series[1].points[0].most is None


def test_what_one_figure_does_not_decide_is_on_no_chart() -> None:
    by_current = replace(INSULATION, reading="0.4", finding="pass")
    assert reading_series([item(1, "Kettle", Outcome.PASS, LOOKED, by_current)]) == ()
