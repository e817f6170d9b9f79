"""A damaged cell: every command answers in sentences, what can be read is told, and nothing damaged is called well."""

import json
import random
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from tests.damaged_registers import (
    BYTES,
    FAULT,
    VALUES,
    Cell,
    build_whole,
    cells_of,
    damaged_copy,
    reading_commands,
    told_by,
)

_SAMPLE = 12
"""Cells damaged here; the campaign damages any."""


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return build_whole(tmp_path_factory.mktemp("whole") / "whole.sqlite")


@pytest.fixture(autouse=True)
def own_state(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))


def test_no_damaged_cell_makes_a_command_throw(whole: Path, tmp_path: Path) -> None:
    chance = random.Random(11)
    for number, cell in enumerate(chance.sample(cells_of(whole), _SAMPLE)):
        copy = tmp_path / f"{number}.sqlite"
        value = chance.choice(VALUES)
        if not damaged_copy(whole, copy, cell, value):
            continue
        folder = tmp_path / str(number)
        folder.mkdir()
        for words in reading_commands(folder):
            told = told_by(words, copy)
            assert FAULT not in told.err, (cell, value, words, told.err)
            assert told.code in {0, 1, 2, 3}, (cell, value, words, told)


def test_a_name_with_bytes_that_are_no_text_is_told_by_lists_and_by_labels(whole: Path, tmp_path: Path) -> None:
    copy = tmp_path / "d.sqlite"
    assert damaged_copy(whole, copy, Cell("appliance", _rowid(whole, "HR-001"), "name"), BYTES)
    for words in (["find", "HR-001"], ["print", "labels", "--again", "-o", str(tmp_path / "l.pdf")]):
        told = told_by(words, copy)
        assert told.code == 1
        assert "bytes that are no text; run `appreg verify`" in told.err


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("state", "in servicf"),
        ("last_outcome", "passed"),
        ("last_date", "2026-13-45"),
        ("next_visual", "never"),
        ("next_test", "2026-02-31"),
        ("next_test", BYTES),
        ("appliance_class", "9"),
        ("site", "x"),
        ("location", "x"),
    ],
)
def test_an_item_that_lists_would_pass_over_is_named_and_never_not_due(
    whole: Path, tmp_path: Path, column: str, value: str
) -> None:
    copy = tmp_path / "d.sqlite"
    assert damaged_copy(whole, copy, Cell("appliance", _rowid(whole, "HR-001"), column), value)
    others = told_by(["due"], whole).out.splitlines()[1:]
    told = told_by(["due"], copy)
    assert told.code == 1
    assert "HR-001" in told.err
    assert "run `appreg verify`" in told.err
    for line in others:
        if line and not line.startswith(("HR-001", "tag", "site", "User", "Harbour")):
            assert line.split()[0] in told.out
    told = told_by(["due", "--json"], copy)
    assert "HR-001" in " ".join(json.loads(told.out)["damaged"])


def test_what_cannot_be_read_of_an_item_makes_no_result_of_it_sure(whole: Path, tmp_path: Path) -> None:
    copy = tmp_path / "d.sqlite"
    with closing(sqlite3.connect(whole)) as raw:
        ((rowid,),) = raw.execute(
            "SELECT i.rowid FROM inspection i JOIN appliance a ON a.last_inspection = i.uid WHERE a.tag = 'HR-001'"
        ).fetchall()
    assert damaged_copy(whole, copy, Cell("inspection", rowid, "outcome"), "x")
    told = told_by(["show", "HR-001"], copy)
    assert told.code == 1
    assert "no result of it is sure, least of all a pass" in told.err
    evidence = told_by(["evidence", "--by", "category"], copy)
    assert evidence.code == 1
    assert "no interval is lengthened by it" in evidence.err


@pytest.mark.parametrize(
    ("cell", "value"),
    [(("appliance", "state"), "x"), (("appliance", "site"), "x"), (("inspection", "visit"), "x")],
)
def test_a_document_that_would_leave_something_out_is_refused(
    whole: Path, tmp_path: Path, cell: tuple[str, str], value: str
) -> None:
    copy = tmp_path / "d.sqlite"
    table, column = cell
    assert damaged_copy(whole, copy, Cell(table, 2, column), value)
    for kind in ("register", "report"):
        out = tmp_path / f"{kind}.pdf"
        told = told_by(["print", kind, "--site", "KL", "-o", str(out)], copy)
        if kind == "register" or column != "state":
            assert told.code == 1, told
            assert not out.exists()
            assert "run `appreg verify`" in told.err


def test_a_damaged_name_stands_with_marks_in_place_of_bytes_that_are_no_text(whole: Path, tmp_path: Path) -> None:
    copy = tmp_path / "d.sqlite"
    assert damaged_copy(whole, copy, Cell("appliance", _rowid(whole, "KL-002"), "name"), BYTES)
    assert "K\N{REPLACEMENT CHARACTER}A\N{REPLACEMENT CHARACTER}" in told_by(["show", "KL-002"], copy).out


def _rowid(path: Path, tag: str) -> int:
    with closing(sqlite3.connect(path)) as raw:
        ((rowid,),) = raw.execute("SELECT rowid FROM appliance WHERE tag = ?", (tag,)).fetchall()
    assert isinstance(rowid, int)
    return rowid
