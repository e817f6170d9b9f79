import gc
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from msgspec.structs import replace

from appreg.progress import Stopped
from appreg.register.checking.checking import problems
from appreg.register.engine.places import Place
from appreg.register.opening.register_file import open_register
from appreg.register.schema.file_marks import NEWEST
from tests.register.sample_register import CLIENT, FINDING, INSPECTION, KETTLE, build_register
from tests.register.tampering import DRAFTS, Tampering, alter_cell, cells_of

_UNTIED = {("appliance", "ordinal"), ("register_meta", "value"), ("register_meta", "key"), ("migration", "number")}
"""Noticed by the search index, the journal's end or on opening, not by the row."""


@pytest.fixture(scope="module")
def untouched(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("register") / "r.appreg"
    with build_register(path) as register:
        register.rows("PRAGMA wal_checkpoint(TRUNCATE)")
    return path


@pytest.fixture(scope="module")
def tampering(untouched: Path, tmp_path_factory: pytest.TempPathFactory) -> Tampering:
    return Tampering(untouched, tmp_path_factory.mktemp("altered"))


def test_an_untouched_register_has_no_problem(tampering: Tampering) -> None:
    assert tampering.found(lambda _: None) == []


def test_any_single_cell_altered_anywhere_is_noticed_and_its_table_and_row_named(
    untouched: Path, tampering: Tampering
) -> None:
    for table, rowid, column in cells_of(untouched):
        if table == DRAFTS:
            continue
        found = tampering.found(alter_cell(table, rowid, column))
        assert found, (table, rowid, column)
        if (table, column) in _UNTIED:
            continue
        if table == "journal" and column == "sequence":
            assert any(p.table == table and p.column == column for p in found), (rowid, found)
            continue
        key = "number" if table == "migration" else "sequence" if table == "journal" else "uid"
        with closing(sqlite3.connect(untouched)) as raw:
            ((own_key,),) = raw.execute(f'SELECT "{key}" FROM "{table}" WHERE rowid = ?', (rowid,)).fetchall()
        named = [p for p in found if p.table == table and str(own_key) in p.row.replace("x", " ").split()]
        assert named, (table, rowid, column, found)
        if column not in {key, "hash", "sequence", "origin"}:
            assert any(p.column in {column, ""} for p in named), (table, rowid, column, found)
        if table != "journal" and column != key:
            assert [p.column for p in named if p.column == column], (table, rowid, column, found)


@pytest.mark.parametrize(
    "column", ["outcome", "remarks", "date", "person", "rule_book_version", "missing", "item_facts"]
)
def test_the_place_of_an_altered_inspection_is_named_exactly(column: str, tampering: Tampering) -> None:
    values = {"outcome": "pass", "date": "2026-11-23", "person": CLIENT.uid, "missing": "[]"}
    found = tampering.found(
        lambda raw: raw.execute(
            f'UPDATE inspection SET "{column}" = ? WHERE uid = ?', (values.get(column, "other"), INSPECTION.uid)
        ),
    )
    places = [problem.place for problem in found]
    assert f"table inspection, row {INSPECTION.uid}, column {column}" in places
    assert all("\n" not in problem.sentence and problem.sentence.endswith(".") for problem in found)


@pytest.mark.parametrize("column", ["who", "reason", "entity", "previous_hash", "hash", "change", "sequence", "time"])
def test_the_column_of_an_altered_journal_line_is_found_by_trying(column: str, tampering: Tampering) -> None:
    amid_records = NEWEST + 4
    found = tampering.found(alter_cell("journal", amid_records, column))
    assert any(problem.table == "journal" and problem.column == column for problem in found), found


def test_an_inspection_and_its_first_line_in_the_journal_altered_alike_are_noticed(
    tampering: Tampering,
) -> None:
    def alter(raw: sqlite3.Connection) -> None:
        raw.execute("UPDATE inspection SET remarks = 'fine'")
        raw.execute("UPDATE journal SET \"after\" = replace(\"after\", 'cracked', 'fine')")

    assert {problem.table for problem in tampering.found(alter)} == {"journal"}


@pytest.mark.parametrize(
    ("statement", "table"),
    [
        (f"DELETE FROM finding WHERE uid = '{FINDING.uid}'", "finding"),
        (f"DELETE FROM appliance WHERE uid = '{KETTLE.uid}'", "appliance"),
        ("DELETE FROM inspection_withdrawal", "inspection_withdrawal"),
        ("DELETE FROM journal WHERE sequence = 4", "journal"),
        ("DELETE FROM journal WHERE sequence = (SELECT max(sequence) FROM journal)", "register_meta"),
        ("DELETE FROM journal WHERE sequence > 10", "register_meta"),
        ("DELETE FROM journal", "register_meta"),
        ("DELETE FROM migration", "(file)"),
        ("DELETE FROM register_meta WHERE key GLOB 'head:*'", "register_meta"),
        ("DELETE FROM register_meta WHERE key = 'origin'", "(file)"),
        ("INSERT INTO register_meta VALUES ('extra', '1')", "register_meta"),
        ("INSERT INTO register_meta VALUES ('head:other', '1 x')", "register_meta"),
        ("INSERT INTO migration VALUES (0, 'x', 'x')", "migration"),
        ("INSERT INTO person VALUES ('0000000000000000000000000A', 'x', 'x', '', '', '')", "person"),
        (("INSERT INTO journal SELECT origin, sequence + 1, time || 'x', who, reason, entity, uid, \"before\", \"after\", "
         '"change", hash, hash FROM journal ORDER BY sequence DESC LIMIT 1'), "journal"),
        (("INSERT INTO journal SELECT 'other', 1, time, who, reason, entity, uid, \"before\", \"after\", \"change\", hash, "
         "hash FROM journal ORDER BY sequence DESC LIMIT 1"), "journal"),
        ("UPDATE appliance SET ordinal = ordinal + 100", "appliance_text"),
        ("DELETE FROM appliance_text_docsize", "appliance_text"),
        ("DELETE FROM appliance_text_data WHERE id > 10", "appliance_text"),
        ("INSERT INTO appliance_text (appliance_text) VALUES ('delete-all')", "appliance_text"),
        ("UPDATE appliance_text_config SET v = 99", "appliance_text"),
        ("DROP INDEX journal_change", "journal_change"),
        ("DROP INDEX finding_place", "finding_place"),
        ("CREATE TABLE extra (x)", "extra"),
        ("CREATE TRIGGER sly AFTER INSERT ON inspection BEGIN SELECT 1; END", "sly"),
        ("PRAGMA user_version = 77", "(file)"),
        ("UPDATE appliance SET name = CAST(x'ff41' AS TEXT)", "appliance"),
        ("UPDATE journal SET \"after\" = 'not json' WHERE sequence = 5", "journal"),
        ("UPDATE journal SET \"after\" = '[]' WHERE sequence = 5", "journal"),
        ("UPDATE appliance SET location = '00000000000000000000000000'", "appliance"),
    ],
)  # fmt: skip
def test_rows_and_tables_changed_behind_the_back_are_noticed(statement: str, table: str, tampering: Tampering) -> None:
    found = tampering.found(lambda raw: raw.execute(statement))
    assert table in {problem.table for problem in found}, found


def test_a_table_of_anothers_that_refers_to_nothing_does_not_end_the_check(tampering: Tampering) -> None:
    def alter(raw: sqlite3.Connection) -> None:
        raw.execute("CREATE TABLE theirs (client TEXT REFERENCES client(uid))")
        raw.execute("INSERT INTO theirs VALUES ('nobody')")

    found = tampering.found(alter)
    assert {problem.table for problem in found} == {"theirs"}


@pytest.mark.parametrize("trigger", ["inspection_no_update", "journal_no_delete", "appliance_text_insert"])
def test_a_guard_that_was_taken_away_is_noticed(trigger: str, untouched: Path, tmp_path: Path) -> None:
    path = tmp_path / "r.appreg"
    shutil.copy(untouched, path)
    with closing(sqlite3.connect(path)) as raw:
        raw.execute(f"DROP TRIGGER {trigger}")
    with open_register(path) as register:
        assert [problem.table for problem in problems(register)] == [trigger]


def test_the_check_tells_how_far_it_is_and_stops_when_asked(tmp_path: Path) -> None:
    with build_register(tmp_path / "r.appreg") as register:
        told: list[tuple[int, int]] = []

        def go_on(done: int, total: int) -> bool:
            told.append((done, total))
            return True

        assert list(problems(register, go_on)) == []
        assert told[0][0] == 0
        assert told[-1][0] == told[-1][1] > 0
        calls: list[int] = []

        def stop(done: int, _: int) -> bool:
            calls.append(done)
            return False

        with pytest.raises(Stopped):
            list(problems(register, stop))
        assert calls == [0]


@pytest.mark.parametrize("steps", [1, 20, 40])
def test_a_check_that_is_stopped_midway_lets_go_of_what_it_reads(
    place: Place, monkeypatch: pytest.MonkeyPatch, steps: int
) -> None:
    monkeypatch.setattr("appreg.register.engine.register_problems._STEP", 1)
    left = iter(range(steps))
    with build_register(place) as register:
        with pytest.raises(Stopped, match="tells nothing") as stopped:
            list(problems(register, lambda _done, _total: next(left, None) is not None))
        assert next(left, None) is None
        del stopped
        gc.collect()  # what could not let go is told then, and pytest takes it for a failure
        assert list(problems(register)) == []


def test_checking_while_another_writes_says_what_it_could_not_see(
    untouched: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("appreg.register.engine.file_opening._WAIT_SECONDS", 0.05)
    path = tmp_path / "r.appreg"
    shutil.copy(untouched, path)
    with open_register(path) as register, open_register(path) as other:
        with other.change("Sam") as change:
            change.put(replace(CLIENT, name="Other"))
            (problem,) = problems(register)
            assert "could not be checked" in problem.sentence
        assert list(problems(register)) == []
