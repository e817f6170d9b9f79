"""The times of a journal rise with every line, whatever the clock does; where an older program let two be alike, that is told."""

import sqlite3
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from appreg.clock import Instant
from appreg.register.checking.checking import problems
from appreg.register.journal.journal_chain import is_stamp
from appreg.register.opening.register_file import Register, open_register
from appreg.tasks.keeping.verify_register import Verification, verify_with_seal
from tests.register.older_registers import SIXTH, older_register
from tests.register.sample_register import CLIENT, build_register
from tests.register.tampering import Alter, Tampering, rechain

_START = 1_795_000_000_000


class _Clock:
    """Says what it is told to, and afterwards stands still."""

    def __init__(self, steps: list[int]) -> None:
        self._steps: Iterator[int] = iter(steps)
        self._now = _START

    def __call__(self) -> Instant:
        self._now = max(0, self._now + next(self._steps, 0))
        return Instant(self._now)


def _times(register: Register) -> list[str]:
    return [time for (time,) in register.rows("SELECT time FROM journal ORDER BY origin, sequence")]


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.one_of(st.just(0), st.integers(-(10**12), 10**12)), max_size=40),
    st.lists(st.tuples(st.integers(1, 3), st.booleans()), min_size=1, max_size=6),
)
def test_each_line_is_later_than_the_one_before_it_whatever_the_clock_says(
    steps: list[int], changes: list[tuple[int, bool]]
) -> None:
    clock = _Clock(steps)
    with TemporaryDirectory() as folder:
        path = Path(folder) / "r.appreg"
        register = open_register(path, clock=clock)
        for place, (lines, anew) in enumerate(changes):
            if anew:
                register.close()
                register = open_register(path, clock=clock)
            with register.change("Sam") as change:
                for line in range(lines):
                    change.put(replace(CLIENT, uid=change.new_uid(), name=f"{place} {line}"))
        times = _times(register)
        assert all(is_stamp(time) for time in times)
        assert all(earlier < later for earlier, later in pairwise(times)), times
        assert list(problems(register)) == []
        register.close()


def _alike(line: int, *, step: str = "0") -> Alter:
    """Give a line the time of the one before, every hash worked out anew."""

    def alter(raw: sqlite3.Connection) -> None:
        raw.execute(
            "UPDATE journal SET time = (SELECT CASE ? WHEN '0' THEN time ELSE replace(time, '2026', '2025') END "
            "FROM journal WHERE sequence = ?) WHERE sequence = ?",
            (step, line - 1, line),
        )
        rechain(raw)

    return alter


def _checked(path: Path) -> Verification:
    with open_register(path) as register:
        return verify_with_seal(register)


def _older(tmp_path: Path) -> Tampering:
    folder = tmp_path / "older"
    folder.mkdir()
    return Tampering(older_register(SIXTH, folder), folder)


def test_lines_of_an_older_program_that_bear_one_time_are_told_and_found_no_fault_for_ever(tmp_path: Path) -> None:
    path = _older(tmp_path).altered(_alike(12))
    for _ in range(2):
        found = _checked(path)
        assert found.is_as_it_should_be
        (remark,) = found.remarks
        assert " 12)" in remark
        assert "nothing is wrong" in remark
    with open_register(path) as register, register.change("Sam") as change:
        change.put(replace(CLIENT, uid=change.new_uid()))
    assert _checked(path).is_as_it_should_be


def test_two_lines_of_one_record_at_one_time_are_followed_by_their_numbers(tmp_path: Path) -> None:
    untouched = _older(tmp_path)
    path = untouched.altered(lambda _: None)
    with open_register(path) as register:
        rows = register.rows("SELECT sequence, uid FROM journal ORDER BY sequence")
    follower = next(line for (_, one), (line, other) in pairwise(rows) if one == other)
    assert _checked(untouched.altered(_alike(follower))).is_as_it_should_be


def test_a_line_of_an_older_program_that_bears_an_earlier_time_is_a_fault(tmp_path: Path) -> None:
    found = _checked(_older(tmp_path).altered(_alike(12, step="back")))
    assert [problem.column for problem in found.problems] == ["time"]
    assert found.remarks == ()


def test_a_line_of_this_program_that_bears_the_time_of_the_one_before_is_a_fault(tmp_path: Path) -> None:
    with build_register(tmp_path / "new.appreg") as register:
        register.rows("PRAGMA wal_checkpoint(TRUNCATE)")
    for untouched in (tmp_path / "new.appreg", _migrated(tmp_path)):
        folder = tmp_path / f"altered {untouched.name}"
        folder.mkdir()
        with open_register(untouched) as register:
            end = len(_times(register))
        found = _checked(Tampering(untouched, folder).altered(_alike(end)))
        assert [problem.column for problem in found.problems if problem.table == "journal"] == ["time"], untouched
        assert found.remarks == ()


def _migrated(tmp_path: Path) -> Path:
    path = older_register(SIXTH, tmp_path)
    with open_register(path) as register:
        for name in ("one", "other"):
            with register.change("Sam") as change:
                change.put(replace(CLIENT, uid=change.new_uid(), name=name))
        register.rows("PRAGMA wal_checkpoint(TRUNCATE)")
    return path
