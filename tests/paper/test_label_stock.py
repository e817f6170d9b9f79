"""Stocks: those that come with the program, what keeps one from being printed, and the face that is written on."""

from math import hypot

import pytest
from msgspec.structs import replace

from appreg.paper.codes.qr_codes import SMALL, STURDY, CodeForm
from appreg.paper.labels.label_stock import SHORTEST_MODULE_MM, Feed, Shape, Stock, face_of, problems_of
from appreg.paper.labels.stock_reading import load_stocks

STOCKS = load_stocks()
ON_STOCKS = pytest.mark.parametrize("stock", STOCKS.values(), ids=lambda stock: stock.id)


def test_sheets_rolls_flags_and_round_labels_come_with_the_program() -> None:
    assert {key: stock.places for key, stock in STOCKS.items() if stock.feed is Feed.SHEET} == {
        "a4-24": 24,
        "a4-40": 40,
        "a4-65": 65,
        "a4-54-round": 54,
    }
    assert {stock.shape for stock in STOCKS.values()} == {*Shape}
    assert all(stock.places == 1 for stock in STOCKS.values() if stock.feed is Feed.ROLL)


@ON_STOCKS
def test_every_stock_fits_its_page_with_readable_modules_and_equal_borders(stock: Stock) -> None:
    assert problems_of(stock) == []
    if stock.feed is Feed.SHEET:
        assert (stock.sheet_width, stock.sheet_height) == (210, 297)
    assert stock.code_form is not None or stock.shape is Shape.ROUND
    assert stock.code_form is None or stock.module >= SHORTEST_MODULE_MM
    right = stock.sheet_width - stock.left - (stock.columns - 1) * stock.pitch_x - stock.label_width
    bottom = stock.sheet_height - stock.top - (stock.rows - 1) * stock.pitch_y - stock.label_height
    assert right == pytest.approx(stock.left, abs=0.1)
    assert bottom == pytest.approx(stock.top, abs=0.1)
    assert stock.basis in {"common practice", "our own measures"}


@pytest.mark.parametrize(("box", "form"), [(20.5, STURDY), (16.6, STURDY), (16.5, SMALL), (14.6, SMALL), (14.5, None)])
def test_the_box_of_a_stock_says_which_code_it_holds_or_that_the_tag_stands_alone(
    box: float, form: CodeForm | None
) -> None:
    stock = replace(STOCKS["a4-24"], code=box)
    assert stock.code_form == form
    assert problems_of(stock) == []
    assert (stock.code_side == 0) is (form is None)
    assert stock.text_room == pytest.approx(stock.label_width - stock.margin - (box if form else stock.margin))


@ON_STOCKS
def test_what_is_written_on_lies_within_the_label_and_off_the_fold(stock: Stock) -> None:
    face = face_of(stock)
    assert len(face.corners) == (2 if stock.shape is Shape.FLAG else 1)
    for x, y in face.corners:
        right, bottom = x + face.stock.label_width, y + face.stock.label_height
        assert min(x, y) >= 0
        assert right <= stock.label_width + 1e-9
        assert bottom <= stock.label_height + 1e-9
        if stock.shape is Shape.FLAG:
            assert abs((x + right) / 2 - stock.label_width / 2) >= (face.stock.label_width + stock.fold) / 2 - 1e-9
        if stock.shape is Shape.ROUND:
            middle, radius = stock.label_width / 2, stock.label_width / 2 - stock.margin
            corners = [(each, other) for each in (x, right) for other in (y, bottom)]
            assert all(hypot(each - middle, other - middle) <= radius + 1e-9 for each, other in corners)


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"label_width": float("nan")}, "wide and tall"),
        ({"sheet_height": float("inf")}, "wide and tall"),
        ({"columns": 1000, "rows": 1000}, "more than 2000 labels"),
        ({"rows": 0}, "no labels"),
        ({"margin": -1.0}, "negative"),
        ({"text_points": 1.0}, "4 to 200 points"),
        ({"lines": -1}, "cannot be counted"),
        ({"shape": Shape.ROUND}, "as wide as it is tall"),
        ({"shape": Shape.FLAG}, "a flag has a fold"),
        ({"fold": 3.0}, "a flag has a fold"),
        ({"code": 55.0}, "left for text"),
    ],
)
def test_measures_that_no_label_has_are_named(changes: dict[str, float], says: str) -> None:
    assert any(says in problem for problem in problems_of(replace(STOCKS["a4-24"], **changes)))
