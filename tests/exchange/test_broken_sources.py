"""Tables that are broken, or meant to do harm: a sentence each, before anything takes long. `tests.campaign sources` tries more."""

from pathlib import Path
from typing import Final

import pytest

from appreg.errors import InputRefused
from appreg.exchange.mapping_guess import guess_mapping
from appreg.exchange.source_file import read_source
from tests.campaign.hostile_tables import WHOLES, cell, workbook
from tests.campaign.trial import Trial
from tests.campaign.try_sources import run

SAID: Final = {
    "millions of lines": "has more than 1048576 lines; divide it",
    "16 384 columns": "has 16384 columns on line 1, of which 1000 can be read",
    "a cell of 10 MB": "has a cell of more than 32767 characters on line 2; close its quotes",
    "a quote that is open": "has a cell of more than 32767 characters on line 2; close its quotes",
    "zero bytes": "holds zero bytes, so it is no text",
    "two encodings": "is UTF-8 text, but line 3 holds bytes that are not; write that line anew",
    "half a character": "is not UTF-16 text throughout",
    "longer than any table": "is longer than 64 MB, too long for a table",
    "cells far apart": "has a sheet that spans more than 2000000 cells; save the sheet as CSV",
    "cells beyond the sheet": "has a sheet that spans more than 2000000 cells",
    "places written oddly": "has a sheet that spans more than 2000000 cells",
    "one long text in all cells": "has texts too long for so many cells",
    "one long text of many runs": "has texts too long for so many cells",
    "entities": "is damaged, or no workbook of the form .xlsx; save it anew",
    "no cell": "holds no row",
    "an older workbook": "is a workbook of an older form, or under a password; save it as .xlsx or CSV",
    "a packed folder": "is a packed file, but no workbook of the form .xlsx",
    "white space": "is empty",
}
"""By name of the table: what is said of it."""


@pytest.mark.parametrize("name", SAID)
def test_a_table_beyond_all_bounds_is_refused_in_a_sentence(name: str, tmp_path: Path) -> None:
    file = tmp_path / "table"
    file.write_bytes(WHOLES[name]())
    with pytest.raises(InputRefused) as refused:
        list(read_source(file).rows())
    assert SAID[name] in str(refused.value)
    assert str(refused.value).startswith(str(file))


def test_a_workbook_of_formulas_and_of_other_workbooks_says_so_and_gives_what_they_came_to(tmp_path: Path) -> None:
    file = tmp_path / "table.xlsx"
    file.write_bytes(WHOLES["formulas"]())
    source = read_source(file)
    assert [row.cells for row in source.rows()] == [("2",)]
    assert "formulas" in source.remarks[0]
    assert "refers to other workbooks" in source.remarks[1]


def test_tables_broken_anywhere_are_read_or_refused_in_a_sentence(tmp_path: Path) -> None:
    trial = Trial(name="sources", seed=14, folder=tmp_path, seconds=20, most=40)
    run(trial)
    assert trial.faults == []
    assert trial.counts["rows"] > 50


@pytest.mark.parametrize("kind", ["folder", "nothing"])
def test_what_is_no_file_is_refused(kind: str, tmp_path: Path) -> None:
    with pytest.raises(InputRefused, match=r"is a folder|cannot be read"):
        read_source(tmp_path if kind == "folder" else tmp_path / "none.csv")


def test_rows_of_a_sheet_have_the_numbers_that_the_sheet_shows(tmp_path: Path) -> None:
    file = tmp_path / "table.xlsx"
    rows = f'<row r="3">{cell("C3", "Tag")}{cell("D3", "Make")}</row><row r="7">{cell("C7", "A1")}</row>'
    file.write_bytes(workbook(rows))
    assert [(row.line, row.cells) for row in read_source(file).rows()] == [
        (3, ("", "", "Tag", "Make")),
        (7, ("", "", "A1")),
    ]


@pytest.mark.parametrize(
    ("days", "problem"),
    [
        (["03/04/2025", "05/06/2025"], "may have day or month first; say in which order"),
        (["13/04/2025", "04/13/2025"], "can only have the day first and days that can only have the month first"),
        (["03/04/2025", "13/04/2025"], ""),
        (["2025-04-03", "3.4.2025", "3 Apr 2025"], ""),
        (["03/04/25", "17/04/25"], "its 2 days may have day or year first; say in which order"),
        (["03/04/25", "31/12/24", "28/04/99"], ""),
        (["25/03/04", "25/03/05"], "may have day or year first"),
        (["04/05/06", "05/06/07"], "may have day or month or year first"),
    ],
)
def test_an_order_of_days_that_cells_leave_in_doubt_is_asked_for(days: list[str], problem: str, tmp_path: Path) -> None:
    file = tmp_path / "table.csv"
    lines = [f"A{at};{day};0,08;0,1" for at, day in enumerate(days)]
    file.write_text("\n".join(["Tag;Test date;Earth (Ω);Leakage (mA)", *lines]), encoding="utf-8")
    found = [each.sentence for each in guess_mapping(read_source(file)).problems]
    assert len(found) == (1 if problem else 0)
    assert problem in "".join(found)


@pytest.mark.parametrize(
    ("readings", "problem"),
    [
        (["1,250", "2,500"], "commas that may stand before decimals or between thousands; say which"),
        (["1,25", "2.5"], "has points and commas before decimals"),
        (["0,125", "1.250"], "has points that may stand before decimals or between thousands; say which"),
        (["0,125", "1,250"], ""),
        (["1.25", "1,250.5"], ""),
    ],
)
def test_a_mark_that_may_stand_before_decimals_or_thousands_is_asked_for(
    readings: list[str], problem: str, tmp_path: Path
) -> None:
    file = tmp_path / "table.csv"
    lines = [f"A{at};2025-04-03;{reading}" for at, reading in enumerate(readings)]
    file.write_text("\n".join(["Tag;Test date;IR (MΩ)", *lines]), encoding="utf-8")
    found = [each.sentence for each in guess_mapping(read_source(file)).problems]
    assert problem in "".join(found)
    assert bool(found) == bool(problem)


def test_a_limit_beside_a_reading_is_never_taken_for_one_and_milliohms_of_insulation_are_asked_about(
    tmp_path: Path,
) -> None:
    file = tmp_path / "table.csv"
    text = "Tag,Date,Earth limit (Ω),Earth (Ω),Insulation (mΩ)\nA1,2025-04-03,0.1,0.3,200\n"
    file.write_text(text, encoding="utf-8")
    mapping = guess_mapping(read_source(file))
    assert [column.field for column in mapping.columns] == ["tag", "date", "", "earth-continuity", "insulation"]
    assert [each.column for each in mapping.problems] == ["Insulation (mΩ)"]
