from importlib.resources import files

import pytest
from msgspec.structs import replace

from appreg.errors import InputRefused
from appreg.paper.codes.qr_codes import SMALL, STURDY, CodeForm
from appreg.paper.labels.label_stock import (
    SHORTEST_MODULE_MM,
    Stock,
    load_stocks,
    problems_of,
    read_stocks,
    stock_by_id,
)

OWN = files("appreg.paper").joinpath("stocks.toml").read_text(encoding="utf-8")


def test_sheets_of_24_40_and_65_labels_come_with_the_program() -> None:
    assert {key: stock.places for key, stock in load_stocks().items()} == {"a4-24": 24, "a4-40": 40, "a4-65": 65}


@pytest.mark.parametrize("stock", load_stocks().values(), ids=lambda stock: stock.id)
def test_every_stock_fits_a4_with_readable_modules_and_equal_borders(stock: Stock) -> None:

    assert problems_of(stock) == []
    assert (stock.sheet_width, stock.sheet_height) == (210, 297)
    assert stock.module >= SHORTEST_MODULE_MM
    assert stock.code_form is not None
    right = stock.sheet_width - stock.left - (stock.columns - 1) * stock.pitch_x - stock.label_width
    bottom = stock.sheet_height - stock.top - (stock.rows - 1) * stock.pitch_y - stock.label_height
    assert right == pytest.approx(stock.left, abs=0.1)
    assert bottom == pytest.approx(stock.top, abs=0.1)
    assert stock.basis == "common practice"


@pytest.mark.parametrize(
    ("was", "becomes", "says"),
    [
        ("code = 14.6", "code = 15.0", "band and code do not fit"),
        ("columns = 5", "columns = 6", "too wide"),
        ("rows = 13", "rows = 14", "too tall"),
        ("pitch_x = 40.64", "pitch_x = 38.0", "overlap sideways"),
        ("pitch_y = 21.2", "pitch_y = 21.0", "overlap downwards"),
        ("tag_points = 10.0", "tag_points = 40.0", "text does not fit"),
        ("rows = 13\n", "", "lacks rows"),
        ("rows = 13", "rows = true", "rows = True is not of the right kind"),
        ("rows = 13", "rows = 13\ncolour = 1", "unknown colour"),
        ("[a4-65]", "[a4-65", "not TOML"),
    ],
)
def test_a_stock_that_cannot_be_printed_is_refused_with_the_reason(was: str, becomes: str, says: str) -> None:
    assert was in OWN
    with pytest.raises(InputRefused, match=rf"mine\.toml.*{says}"):
        read_stocks(OWN.replace(was, becomes), "mine.toml")


@pytest.mark.parametrize(("box", "form"), [(20.5, STURDY), (16.6, STURDY), (16.5, SMALL), (14.6, SMALL), (14.5, None)])
def test_the_box_of_a_stock_says_which_code_it_holds_or_that_the_tag_stands_alone(
    box: float, form: CodeForm | None
) -> None:
    stock = replace(load_stocks()["a4-24"], code=box)
    assert stock.code_form == form
    assert problems_of(stock) == []
    assert (stock.code_side == 0) is (form is None)
    assert stock.text_room == pytest.approx(stock.label_width - stock.margin - (box if form else stock.margin))


def test_an_unknown_stock_is_refused_naming_those_there_are() -> None:
    assert stock_by_id("a4-40").rows == 10
    with pytest.raises(InputRefused, match="'a5-1'; choose one of a4-24, a4-40, a4-65"):
        stock_by_id("a5-1")
