from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from appreg.paper.page.page_canvas import Ink, PageCanvas, printable
from appreg.paper.page.part_roles import Role
from appreg.paper.page.text_blocks import Form, Line, badge, below, beside, draw_row, gap, split, stacked
from tests.hostile_names import HOSTILE_NAMES
from tests.paper.pdf_reading import whole_text

INK = Ink(8.0)
ONE_CANVAS = settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


@pytest.fixture(scope="module")
def canvas() -> Iterator[PageCanvas]:
    with PageCanvas(title="", created=date(2026, 11, 24)) as opened:
        yield opened


@ONE_CANVAS
@given(texts=st.lists(st.sampled_from(HOSTILE_NAMES) | st.text(max_size=60), max_size=5), room=st.integers(12, 80))
def test_no_line_of_a_block_leaves_its_column(canvas: PageCanvas, texts: list[str], room: int) -> None:
    block = stacked([Line(text, INK) for text in texts], room, canvas)
    assert all(canvas.measure(mark.text, mark.ink) <= room + 1e-6 for mark in block.marks)
    assert all(0 < mark.y <= block.height for mark in block.marks)
    assert sorted(mark.y for mark in block.marks) == [mark.y for mark in block.marks]


@ONE_CANVAS
@given(text=st.sampled_from(HOSTILE_NAMES), room=st.integers(12, 80))
def test_a_block_loses_no_letter(canvas: PageCanvas, text: str, room: int) -> None:
    block = stacked([Line(text, INK)], room, canvas)
    assert "".join("".join(mark.text for mark in block.marks).split()) == "".join(printable(text).split())


@ONE_CANVAS
@given(count=st.integers(2, 60), room=st.integers(10, 100))
def test_a_block_too_tall_is_cut_between_lines(canvas: PageCanvas, count: int, room: int) -> None:
    whole = stacked([Line(f"line {number}", INK) for number in range(count)], 50, canvas)
    first, rest = split(whole, room)
    assert [mark.text for mark in (*first.marks, *rest.marks)] == [mark.text for mark in whole.marks]
    assert first.height + rest.height >= min(whole.height, room)
    if rest.marks:
        assert all(mark.y <= room for mark in first.marks)
        assert rest.height < whole.height


def test_a_cut_block_takes_its_badges_along_with_the_lines_they_stand_among(canvas: PageCanvas) -> None:
    row = below([stacked([Line("row", INK)], 50, canvas), badge("FAIL", 30, 8, Form.BAR, canvas)])
    whole = below([row] * 12)
    first, rest = split(whole, 40)
    assert len(first.badges) + len(rest.badges) == len(whole.badges)
    assert all(shape.y + shape.h <= 40 for shape in first.badges)
    assert [shape.y for shape in rest.badges] == sorted(shape.y for shape in rest.badges)
    assert all(-0.01 <= shape.y <= rest.height for shape in rest.badges)


def test_blocks_stack_and_stand_side_by_side(canvas: PageCanvas) -> None:
    one = stacked([Line("one", INK)], 50, canvas)
    two = stacked([Line("one", INK), Line("", INK), Line("two", INK)], 50, canvas)
    assert len(two.marks) == 2
    assert below([one, gap(3), two]).height == pytest.approx(one.height + 3 + two.height)
    pair = beside([(0, one), (60, two)])
    assert pair.height == two.height
    assert [mark.x for mark in pair.marks] == [0, 60, 60]


@pytest.mark.parametrize("form", Form)
def test_a_verdicts_word_stands_in_the_middle_of_its_form(canvas: PageCanvas, form: Form) -> None:
    block = badge("PASS", 30, 8, form, canvas)
    (word,), (shape,) = block.marks, block.badges
    assert word.x + canvas.measure("PASS", word.ink) / 2 == pytest.approx(15)
    assert (shape.w, shape.form) == (30, form)
    assert word.ink.grey == (255 if form is Form.BAR else 0)


def test_a_row_of_a_table_whose_parts_come_again_further_down_keeps_all_of_their_text(tmp_path: Path) -> None:
    out = tmp_path / "row.pdf"
    with PageCanvas(title="row", created=date(2026, 11, 24)) as canvas:
        canvas.add_page()
        lines = [
            [stacked([Line(f"{word}{number}", INK)], 20, canvas) for word in ("left", "right")] for number in (1, 2)
        ]
        block = below([beside([(0.0, left), (30.0, right)]) for left, right in lines])
        with canvas.part(Role.TABLE):
            draw_row(block, canvas, 20.0, 20.0, role=Role.CELL, cells=2)
        canvas.save(out)
    assert set(whole_text(out).split()) == {"left1", "right1", "left2", "right2"}
