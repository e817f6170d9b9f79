"""A person's own stocks stand beside the settings, and what is wrong with them keeps nobody from printing on the others."""

from collections.abc import Mapping
from pathlib import Path

import pytest

from appreg.errors import InputRefused
from appreg.paper.labels.stock_reading import load_stocks
from appreg.tasks.desk.find_stocks import stocks_at_hand
from tests.paper.test_stock_reading import ROLL


def at(folder: Path) -> Mapping[str, str]:
    return {"APPREG_SETTINGS": str(folder / "settings.toml")}


def test_without_a_file_there_are_those_of_the_program(tmp_path: Path) -> None:
    at_hand = stocks_at_hand(at(tmp_path))
    assert dict(at_hand.stocks) == dict(load_stocks())
    assert at_hand.faults == ()
    assert at_hand.own == tmp_path / "stocks.toml"
    assert list(tmp_path.iterdir()) == []


def test_own_stocks_come_after_those_of_the_program_and_take_no_name_of_theirs(tmp_path: Path) -> None:
    other = ROLL.replace("[shop-roll]", "[a4-24]")
    (tmp_path / "stocks.toml").write_text(ROLL + other, encoding="utf-8")
    at_hand = stocks_at_hand(at(tmp_path))
    assert [*at_hand.stocks] == [*load_stocks(), "shop-roll"]
    assert at_hand.stocks["a4-24"] == load_stocks()["a4-24"]
    assert at_hand.faults == ("stocks.toml, line 15, a4-24: a stock of the program has this name; choose another.",)


@pytest.mark.parametrize(
    ("content", "says"),
    [(b"\xff\xfe", "is not UTF-8 text"), (b"[", "not valid TOML"), (b"x" * 300_000, "stocks.toml")],
    ids=["no text", "no TOML", "too long"],
)
def test_a_file_that_cannot_be_read_is_told_and_named_where_a_stock_is_not_found(
    tmp_path: Path, content: bytes, says: str
) -> None:
    (tmp_path / "stocks.toml").write_bytes(content)
    at_hand = stocks_at_hand(at(tmp_path))
    assert at_hand.named("a4-65").rows == 13
    assert len(at_hand.faults) == 1
    with pytest.raises(InputRefused, match=says):
        at_hand.named("shop-roll")


def test_an_unknown_stock_is_refused_naming_those_there_are(tmp_path: Path) -> None:
    with pytest.raises(InputRefused, match="'a5-1'; choose one of a4-24, a4-40, a4-65"):
        stocks_at_hand(at(tmp_path)).named("a5-1")


def test_a_folder_in_place_of_the_file_is_told(tmp_path: Path) -> None:
    (tmp_path / "stocks.toml").mkdir()
    assert "is a folder" in stocks_at_hand(at(tmp_path)).faults[0]
