"""What a hand-over notes of its lines, damaged: told as damage, never raised."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from appreg.register.checking.checking import problems
from appreg.register.journal.sealed_lines import digest_of, handed_cell, read_handed
from appreg.register.opening.register_file import open_register
from appreg.tasks.keeping.hand_over import hand_over
from tests.tasks.merged_desks import first_desk


@pytest.mark.parametrize(
    "cell",
    [
        None, 7, "", "[]", "[" * 100_000, '{"digest": "x"}', '{"digest": "x", "lines": [1]}',
        '{"digest": "x", "lines": {"a": [[1]]}}', '{"digest": "x", "lines": {"a": [[1, 1e400]]}}',
        '{"digest": "x", "lines": {"a": [[1, 99999999999999999999]]}}', '{"digest": "x", "lines": {"a": [[0, 1]]}}',
        '{"digest": "x", "lines": {"a": [[3, 2]]}}',
    ],
    ids=lambda cell: str(cell)[:40],
)  # fmt: skip
def test_a_note_of_handed_lines_that_cannot_be_is_none(cell: object) -> None:
    assert read_handed(cell) is None


def test_a_note_is_read_as_it_was_written() -> None:
    cell = '{"digest":"x","lines":{"a":[[1,2],[4,4]]}}'
    handed = read_handed(cell)
    assert handed is not None
    assert handed_cell(handed) == cell


def test_half_a_character_in_a_hash_has_a_digest_of_its_own() -> None:
    assert digest_of([("a", 1, "x\udcff")]) != digest_of([("a", 1, "x")])


def test_a_handed_file_with_half_a_character_in_a_hash_is_told_as_damaged(tmp_path: Path) -> None:
    desk, school = first_desk(tmp_path / "one")
    out = tmp_path / "handed.appreg"
    with desk.open() as register:
        hand_over(register, "Ann", school.site.uid, out)
    with closing(sqlite3.connect(out)) as file, file:
        for (name,) in file.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            file.execute(f"DROP TRIGGER {name}")
        file.execute("UPDATE journal SET hash = CAST(x'FF' AS TEXT) WHERE sequence = 3")
    with open_register(out, create=False) as register:
        assert any("journal" in problem.sentence for problem in problems(register))


def test_of_a_file_that_sqlite_finds_damaged_the_first_thing_is_told(tmp_path: Path) -> None:
    desk, _ = first_desk(tmp_path / "one")
    with closing(sqlite3.connect(desk.path)) as file:
        file.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    with desk.path.open("r+b") as handle:
        handle.seek(52)
        handle.write(b"\x00\xff\x00\x00")  # the largest root page, as the head of the file has it
    with open_register(desk.path, create=False) as register:
        said = [problem.sentence for problem in problems(register) if problem.table == "(file)"]
    assert said
    assert all("\n" not in each and len(each) < 300 for each in said), said
