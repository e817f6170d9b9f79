"""Cells that hold what no version of the program writes: of another type, no text, endless: said by the check, never thrown."""

import sqlite3
from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import Final

import pytest

from tests.register.odd_cells import GUIDE, ODD, as_it_was, columns_of, content_of, finds_everything, put
from tests.register.sample_register import build_register
from tests.register.tampering import DRAFTS, Tampering, found_in

_TALLIED: Final = ("journal", "register_meta", "migration")
_ELSEWHERE: Final = 2
"""Of these values each column of the other tables gets so many, the dice say which; all of them in tests.campaign."""


@pytest.fixture(scope="module")
def untouched(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("register") / "r.appreg"
    with build_register(path) as register:
        register.rows("PRAGMA wal_checkpoint(TRUNCATE)")
    return path


def _cases(path: Path) -> Iterator[tuple[str, str, int, str]]:
    chance = Random(8)
    for table, column, place in columns_of(path):
        values = ODD if table in _TALLIED else chance.sample(list(ODD), _ELSEWHERE)
        yield from ((table, column, place, what) for what in values)


def test_a_cell_of_any_type_in_any_column_is_reported_and_never_thrown(untouched: Path, tmp_path: Path) -> None:
    tampering = Tampering(untouched, tmp_path, any_type=True)
    assert tampering.found(lambda _: None) == []
    tried = 0
    for table, column, place, what in _cases(untouched):
        if table == DRAFTS or as_it_was(untouched, table, column, place, ODD[what]):
            continue
        try:
            found = tampering.found(put(table, column, place, ODD[what]))
        except sqlite3.IntegrityError:
            continue  # another row has that key
        tried += 1
        assert found or (table == GUIDE and finds_everything(tampering.last)), (table, column, what)
        for problem in found:
            assert "\n" not in problem.sentence, problem
            assert problem.sentence.endswith("."), problem
            assert len(problem.sentence) < 1000, problem
            assert problem.place
    assert tried > 500


def test_what_sqlite_says_of_damage_may_be_no_text_itself(untouched: Path, tmp_path: Path) -> None:
    path = tmp_path / "r.appreg"
    path.write_bytes(untouched.read_bytes().replace(b"indexsite_clientsite", b"indexsit\xff_clientsite"))
    (problem,) = found_in(path)
    assert "is damaged (its own words are no text" in problem.sentence


def test_a_bit_turned_in_any_page_is_said_or_means_nothing_and_is_never_thrown(untouched: Path, tmp_path: Path) -> None:
    content = untouched.read_bytes()
    chance = Random(9)
    page = int.from_bytes(content[16:18])
    places = [*range(0, 100, 5), *(start + chance.randrange(8, page) for start in range(0, len(content), page))]
    places += [start + chance.randrange(8) for start in range(page, len(content), page)]
    path = tmp_path / "r.appreg"
    for place in places:
        flipped = bytearray(content)
        flipped[place] ^= 1 << chance.randrange(8)
        path.write_bytes(flipped)
        assert found_in(path) or content_of(path) == content_of(untouched), place
