"""Stocks are read from TOML; each fault is one sentence with its line, and keeps no other stock away."""

from importlib.resources import files

import pytest

from appreg.core.values.toml_places import TomlText
from appreg.paper.labels.label_stock import Shape
from appreg.paper.labels.stock_reading import load_stocks, read_stocks

OWN = files("appreg.paper").joinpath("stocks.toml").read_text(encoding="utf-8")
ROLL = """
[shop-roll]
title = "Shop roll"
feed = "roll"
label_width = 60
label_height = 30.0
margin = 2.0
band = 6.0
code = 16.6
tag_points = 12.0
text_points = 6.0
lines = 3
basis = "measured"
"""


def faults(text: str) -> tuple[str, ...]:
    return read_stocks(TomlText(name="mine.toml", text=text)).faults


@pytest.mark.parametrize(
    ("was", "becomes", "says"),
    [
        ("code = 14.6\ntag_points = 10.0\ntext_points = 4.8", "code = 15.0\ntag_points = 10.0\ntext_points = 4.8", "band and code do not fit"),
        ("columns = 5", "columns = 6", "too wide"),
        ("rows = 13", "rows = 14", "too tall"),
        ("pitch_x = 40.64", "pitch_x = 38.0", "overlap sideways"),
        ("pitch_y = 21.2", "pitch_y = 21.0", "overlap downwards"),
        ("tag_points = 10.0\ntext_points = 4.8", "tag_points = 40.0\ntext_points = 4.8", "text does not fit"),
        ("rows = 13\n", "", "it lacks rows; add it."),
        ("rows = 13", "rows = true", "“True” is no whole number"),
        ("rows = 13", "rows = 13.5", "“13.5” is no whole number"),
        ("rows = 13", "rows = " + "9" * 400, "is no whole number"),
        ("left = 4.67", 'left = "4.67"', "“4.67” is no number"),
        ("rows = 13", "rows = 13\ncolour = 1", "a stock has no colour"),
        ("rows = 13", 'rows = 13\nshape = "star"', "“star” is not among flat, flag, round"),
        ("rows = 13", "rows = 13\nshape = []", "is not among flat, flag, round"),
        ("[a4-65]", '["A4 65"]', "named by small letters"),
        ('title = "A4, 65 labels, 38.1 × 21.2 mm"', 'title = "a\\u001bb"', "escape character"),
        ('title = "A4, 65 labels, 38.1 × 21.2 mm"', "title = ' '", "no text"),
    ],
)  # fmt: skip
def test_a_stock_that_cannot_be_printed_is_named_with_the_reason_and_keeps_none_of_the_others_away(
    was: str, becomes: str, says: str
) -> None:
    assert was in OWN
    text = OWN.replace(was, becomes, 1) if was in OWN else OWN
    read = read_stocks(TomlText(name="mine.toml", text=text))
    (said,) = read.faults
    assert said.startswith("mine.toml, line ")
    assert says in said
    assert said.endswith(".")
    assert "\n" not in said
    assert "\x1b" not in said
    assert len(read.stocks) == len(load_stocks()) - 1


def test_a_file_that_is_no_toml_or_holds_no_stocks_is_told_in_one_sentence() -> None:
    assert "not valid TOML" in faults("[a4-65")[0]
    assert "this is no stock" in faults("a = 3")[0]
    assert faults("") == ()


def test_every_fault_of_a_file_is_told() -> None:
    assert len(faults(OWN.replace("columns = ", "columns = 9").replace("[roll", "[ROLL"))) == len(load_stocks())


def test_a_roll_is_told_by_its_label_alone() -> None:
    roll = read_stocks(TomlText(name="mine.toml", text=ROLL)).stocks["shop-roll"]
    assert (roll.sheet_width, roll.sheet_height, roll.places, roll.shape) == (60, 30, 1, Shape.FLAT)
    assert "a roll has one label a page" in faults(ROLL + "columns = 2\n")[0]
    assert "it lacks label_width" in faults(ROLL.replace("label_width = 60\n", ""))[0]
