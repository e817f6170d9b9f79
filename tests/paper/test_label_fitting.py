"""A label's words on any stock: inside the label, above each other, whole or cut at the end of a word."""

from datetime import date
from functools import cache
from math import hypot

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from appreg.core.records.kept_records import LabelKind
from appreg.paper.labels.label_content import (
    AnyLabel,
    Band,
    LabelText,
    NameLabel,
    NextDate,
    label_lines,
    verdict_words,
)
from appreg.paper.labels.label_fitting import FittedLabel, elided_at_word, fit_label, width_of
from appreg.paper.labels.label_stock import Shape, Stock, face_of, problems_of
from appreg.paper.labels.stock_reading import load_stocks
from appreg.paper.page.page_canvas import PageCanvas, printable
from appreg.paper.page.type_sizes import CAPITALS
from tests.hostile_names import HOSTILE_NAMES
from tests.paper.paper_samples import TODAY, label

HAIR = 1e-6
MM = 25.4 / 72
NAMED = ("[red]", "=1+1", "Łódź – Ελλάδα", "עברית", "العربية", "漢字", "W" * 300, "wide room " * 30, "a\x1bb\x00c", "")
WORDS = st.sampled_from(NAMED + tuple(HOSTILE_NAMES)) | st.text(max_size=60)


@cache
def canvas() -> PageCanvas:
    made = PageCanvas(title="", created=TODAY)
    made.close()
    return made


@st.composite
def stocks(draw: st.DrawFn) -> Stock:
    """One of the program's, or one that anybody may write down: flat, flag or round, with a code or too small for one."""
    if draw(st.booleans()):
        return draw(st.sampled_from(tuple(load_stocks().values())))
    shape = draw(st.sampled_from(Shape))
    width, height = draw(st.floats(22, 110)), draw(st.floats(15, 80))
    stock = replace(
        load_stocks()["a4-24"],
        shape=shape,
        fold=draw(st.floats(5, 30)) if shape is Shape.FLAG else 0.0,
        columns=1,
        rows=1,
        label_width=width,
        label_height=width if shape is Shape.ROUND else height,
        margin=draw(st.floats(0.5, 3)),
        band=height * draw(st.floats(0.12, 0.3)),
        code=draw(st.floats(0, 22)),
        tag_points=draw(st.floats(7, 24)),
        text_points=draw(st.floats(4, 9)),
        lines=draw(st.integers(1, 5)),
    )
    return stock if not problems_of(stock) else load_stocks()["a4-65"]


@st.composite
def texts(draw: st.DrawFn) -> LabelText:
    kind = draw(st.sampled_from(LabelKind))
    changes = {name: draw(WORDS) for name in ("site", "initials", "tester", "colour", "item", "cause", "ask")}
    return label(
        1,
        kind=kind,
        tag=draw(WORDS),
        looked_only=kind is LabelKind.PASS and draw(st.booleans()),
        next_date=draw(st.none() | st.builds(NextDate, st.dates(date(2026, 1, 1)), st.sampled_from(["test", "look"]))),
        without=tuple(draw(st.lists(WORDS, max_size=2))),
        **changes,
    )


@cache
def low() -> Stock:
    """A stock so low that a tag grown large leaves less than no room below it."""
    return replace(
        load_stocks()["a4-24"],
        columns=1,
        rows=1,
        label_width=22.0,
        label_height=15.0,
        margin=2.0,
        band=3.75,
        code=0.0,
        tag_points=13.0,
        text_points=4.0,
        lines=1,
    )


@pytest.mark.parametrize("tag", ["", "A1", "KL-0001"])
def test_a_tag_without_a_code_grows_only_where_what_must_be_read_keeps_its_line(tag: str) -> None:
    text = label(1, kind=LabelKind.DO_NOT_USE, tag=tag, cause="earth", ask="", site="")
    assert fit_label(text, low(), canvas().measure).lines


def names() -> st.SearchStrategy[NameLabel]:
    return st.builds(NameLabel, tag=WORDS, below=st.lists(WORDS, max_size=2).map(tuple), payload=st.just("*A 000000"))


def boxes_on(stock: Stock, fitted: FittedLabel) -> list[tuple[float, float, float, float]]:
    """Left, top of the capitals, right and baseline of every line, from the label's top left corner, as it is drawn."""
    face, found = face_of(stock), []
    for x, y in face.corners:
        column = face.stock.text_room
        room = face.stock.label_width - 2 * face.stock.margin
        for line, free in ((fitted.verdict, room), *((each, column) for each in (fitted.tag, *fitted.lines))):
            if line.text:
                width = width_of(line, canvas().measure)
                centred = face.centred or line is fitted.verdict
                left = x + face.stock.margin + ((free - width) / 2 if centred else 0)
                assert width <= free + HAIR
                top = y + line.baseline - line.ink.points * CAPITALS * MM
                found.append((left, top, left + width, y + line.baseline))
    return found


@settings(max_examples=150, deadline=None)
@given(stocks(), texts() | names())
def test_no_word_of_any_label_on_any_stock_leaves_it_or_lies_over_another(stock: Stock, text: AnyLabel) -> None:
    boxes = boxes_on(stock, fit_label(text, stock, canvas().measure))
    for left, top, right, bottom in boxes:
        assert left >= stock.margin - HAIR
        assert right <= stock.label_width - stock.margin + HAIR
        assert top >= stock.margin - HAIR
        assert bottom <= stock.label_height - stock.margin + HAIR
        middle, radius = stock.label_width / 2, stock.label_width / 2 - stock.margin
        if stock.shape is Shape.FLAG:
            assert right <= middle - stock.fold / 2 - stock.margin + HAIR or left >= middle + stock.fold / 2
        if stock.shape is Shape.ROUND:
            assert all(hypot(x - middle, y - middle) <= radius + HAIR for x in (left, right) for y in (top, bottom))
    apart = [
        one[3] <= other[1] + HAIR or other[3] <= one[1] + HAIR or one[2] <= other[0] + HAIR or other[2] <= one[0] + HAIR
        for index, one in enumerate(boxes)
        for other in boxes[index + 1 :]
    ]
    assert all(apart)
    # The code stands at the right below the band, where no line reaches.
    face = face_of(stock).stock
    assert face.margin + face.text_room + face.code_side <= face.label_width + HAIR
    assert text.band is Band.NONE or face.margin + face.band + face.code_side <= face.label_height + HAIR


@settings(max_examples=100, deadline=None)
@given(stocks(), texts() | names())
def test_what_must_be_read_stands_there_whole_and_first_or_is_said_to_be_cut(stock: Stock, text: AnyLabel) -> None:
    fitted = fit_label(text, stock, canvas().measure)
    least = face_of(stock).stock.text_points
    if isinstance(text, NameLabel):
        name = printable(text.tag).replace(" ", "")
        printed = (fitted.tag.text + "".join(line.whole for line in fitted.lines)).replace(" ", "")
        whole = printed.startswith(name)
    else:
        needed = [printable(line.whole) for line in label_lines(text) if line.is_needed]
        printed = "".join(line.whole for line in fitted.lines).replace(" ", "")
        whole = printed.startswith("".join(needed).replace(" ", "")) and fitted.tag.text == printable(text.tag)
    assert fitted.is_cut is not whole
    assert all(line.ink.points >= least - HAIR for line in fitted.lines)


def test_a_name_alone_is_larger_than_a_tag_beside_a_verdict_and_goes_on_over_lines() -> None:
    stock = load_stocks()["a4-24"]
    alone, beside = (
        fit_label(each, stock, canvas().measure)
        for each in (NameLabel(tag="HR-001", payload="*HR-001 000000"), label(1, tag="HR-001"))
    )
    assert alone.tag.ink.points > beside.tag.ink.points
    assert alone.verdict.text == ""
    long = fit_label(NameLabel(tag="plant room behind the boiler house", payload="*A 000000"), stock, canvas().measure)
    assert not long.is_cut
    assert long.lines


@pytest.mark.parametrize("stock", load_stocks().values(), ids=lambda stock: stock.id)
def test_the_next_date_is_the_largest_line_below_the_tag_on_every_stock(stock: Stock) -> None:
    fitted = fit_label(label(1, next_date=NextDate(TODAY, "test")), stock, canvas().measure)
    large = next(line for line in fitted.lines if line.whole == "next test 24 Nov 2026")
    assert large.ink.bold
    assert large.ink.points == max(line.ink.points for line in fitted.lines)
    # Capitals of 1.2 to 2 mm were too small; what is asked for is half as large again as the smallest size.
    assert large.ink.points >= 1.3 * stock.text_points


def test_a_tag_without_a_code_stands_large_over_the_whole_width() -> None:
    stock = load_stocks()["a4-65"]
    alone = replace(stock, code=10.0)
    small, large = (fit_label(label(1), each, canvas().measure).tag.ink.points for each in (stock, alone))
    assert large > small
    assert alone.text_room == pytest.approx(alone.label_width - 2 * alone.margin)


@pytest.mark.parametrize(
    ("text", "room", "cut"),
    [
        ("harbour row", 20, "harbour row"),
        ("harbour row kitchen", 15, "harbour row…"),
        ("harbour row kitchen", 12, "harbour row…"),
        ("harbour row kitchen", 10, "harbour…"),
        ("harbourrowkitchen", 8, "harbour…"),
        ("24 Nov · AB", 9, "24 Nov…"),
        ("24 Nov · AB", 10, "24 Nov…"),
        ("harbour", 0, ""),
    ],
)
def test_a_text_is_cut_at_the_end_of_a_word_where_one_fits(text: str, room: int, cut: str) -> None:
    assert elided_at_word(text, room, len) == cut


def test_tested_looked_at_and_not_to_be_used_differ_in_words() -> None:
    plain = label(1)
    said = [
        verdict_words(each) for each in (plain, replace(plain, looked_only=True), label(1, kind=LabelKind.DO_NOT_USE))
    ]
    assert said == ["TESTED · PASS", "LOOKED AT", "DO NOT USE"]


def test_the_label_of_a_look_tells_the_last_test_or_that_there_was_none_or_that_one_is_overdue() -> None:
    look = label(1, looked_only=True)
    tested, overdue = replace(look, tested_on=date(2025, 11, 24)), replace(look, test_overdue_since=date(2026, 5, 24))
    lines = [[line.whole for line in label_lines(each) if line.is_needed] for each in (look, tested, overdue)]
    assert lines == [
        ["24 Nov 2026 · AB", "not tested so far"],
        ["24 Nov 2026 · AB", "last tested 24 Nov 2025"],
        ["24 Nov 2026 · AB", "test overdue since 24 May 2026"],
    ]


def test_a_label_not_to_be_used_gives_the_cause_and_whom_to_ask() -> None:
    failed = label(1, kind=LabelKind.DO_NOT_USE, cause="earth continuity 0.52 Ω", ask="Jo Marsh, 5550 1234")
    lines = [line.text for line in label_lines(failed) if line.is_needed]
    assert lines == ["failed 24 Nov 2026 · AB", "earth continuity 0.52 Ω", "ask Jo Marsh, 5550 1234"]
