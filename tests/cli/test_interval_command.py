"""The command `interval` answers for one item and lists what there is."""

import json
from pathlib import Path

import pytest

from appreg.cli.main import main


def answer(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, object]:
    assert main(["interval", *words, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert isinstance(told, dict)
    return told


def figure(shortest: str | None, longest: str | None, chosen: str | None, *when: str) -> dict[str, object]:
    return {"shortest": shortest, "longest": longest, "chosen": chosen, "when": list(when), "by_hand": None}


def test_a_kettle_in_a_hotel_room_is_checked_by_staff_looked_at_quarterly_and_tested_yearly(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """HSE HSG107, 3rd edition (second-hand)."""
    told = answer(capsys, "--environment", "public", "--class", "1", "--type", "portable")
    assert told["user_check"] == figure(None, None, None, "by staff")
    assert told["visual"] == figure("P3M", "P3M", "P3M")
    assert told["test"] == figure("P1Y", "P1Y", "P1Y")
    assert (told["table"], told["edition"], told["basis"]) == ("hsg107-2013", "3rd edition 2013", "second-hand")
    assert told["source"] == "HSE HSG107"


def test_a_cord_set_in_a_workshop_is_tested_half_yearly_where_class_2_waits_a_year(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """AS/NZS 3760:2003 (second-hand)."""
    common = ("--rule-book", "anz", "--table", "anz-2003", "--environment", "workshop", "--class", "2")
    assert answer(capsys, *common, "--type", "portable")["test"] == figure("P1Y", "P1Y", "P1Y")
    assert answer(capsys, *common, "--type", "cord-set")["test"] == figure("P6M", "P6M", "P6M")


def test_the_longer_end_is_chosen_on_request_and_both_ends_are_told(capsys: pytest.CaptureFixture[str]) -> None:
    common = ("--environment", "low-risk", "--class", "1")
    assert answer(capsys, *common)["test"] == figure("P1Y", "P2Y", "P1Y")
    assert answer(capsys, *common, "--longer")["test"] == figure("P1Y", "P2Y", "P2Y")


def test_none_needed_is_null(capsys: pytest.CaptureFixture[str]) -> None:
    told = answer(capsys, "--environment", "construction-230", "--battery")
    assert (told["user_check"], told["visual"], told["test"]) == (None, None, None)


def test_ids_are_read_in_any_case_and_a_lead_is_an_extension_lead(capsys: pytest.CaptureFixture[str]) -> None:
    short = answer(capsys, "--environment", "LOW-RISK", "--class", "II", "--type", "Lead")
    assert short == answer(capsys, "--environment", "low-risk", "--class", "2", "--type", "extension-lead")
    fixed = answer(capsys, "--environment", "construction-110", "--rcd", "fixed")
    assert fixed["row"] == "construction, fixed RCD"


@pytest.mark.parametrize(
    ("words", "named"),
    [
        (("--environment", "pub"), "choose one of low-risk, public"),
        (("--environment", "public", "--table", "x"), "hsg107-2013, premises-2007"),
        (("--environment", "public", "--rule-book", "fr"), "gb, eu, anz"),
        (("--environment", "public", "--class", "4"), "1, 2, 3, unknown"),
        (("--environment", "public", "--type", "sofa"), "hand-held, portable"),
        (("--environment", "public", "--overlay", "/nowhere/x.toml"), "/nowhere/x.toml"),
        ((), "--environment"),
        (("--environment", "public", "--rcd", "loose"), "--rcd"),
    ],
)
def test_what_is_not_known_is_refused_in_one_sentence_that_names_what_is(
    capsys: pytest.CaptureFixture[str], words: tuple[str, ...], named: str
) -> None:
    assert main(["interval", *words]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert named in told.err
    assert len(told.err.strip().splitlines()) == 1


def test_the_list_names_every_table_with_its_edition_and_environments(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["interval", "--list", "--json"]) == 0
    listed = json.loads(capsys.readouterr().out)["tables"]
    assert {line["table"] for line in listed if line["default"]} == {"hsg107-2013", "dguv-v3", "anz-2010"}
    assert {line["table"] for line in listed} >= {"premises-2007", "anz-2003"}
    assert all(line["edition"] and line["environments"][0]["title"] for line in listed)
    assert main(["interval", "--list", "--rule-book", "EU"]) == 0
    assert "construction sites" in capsys.readouterr().out


def test_people_are_told_the_range_what_is_in_use_and_the_source(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["interval", "--environment", "low-risk", "--class", "1"]) == 0
    told = capsys.readouterr().out
    assert "1 year to 2 years (in use: 1 year)" in told
    assert "HSE INDG236, rev 3 2013 (published)" in told
    assert "not law" in told


def test_an_overlay_is_laid_over_the_book(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    overlay = tmp_path / "house.toml"
    overlay.write_text(
        "[intervals.hsg107-2013.rows.public]\ntest = { every = 'P6M' }\nsource = 'House'\nbasis = 'common practice'\n",
        encoding="utf-8",
    )
    told = answer(capsys, "--environment", "public", "--overlay", str(overlay))
    assert told["test"] == figure("P6M", "P6M", "P6M")
    assert told["source"] == "House"
