"""Where the journal's last line and the register's note of it disagree nothing is saved, so that the trace stays."""

import sqlite3
from pathlib import Path

import pytest
from msgspec.structs import replace

from appreg.core.records.seals import seal_at
from appreg.errors import RegisterUnusable
from appreg.register.checking.checking import FollowedChain, problems
from appreg.register.journal.journal_ends import present_seal, seals_at
from appreg.register.opening.register_file import open_register
from appreg.register.schema.file_marks import NEWEST
from tests.register.sample_register import CLIENT, build_register
from tests.register.tampering import Alter, Tampering, cut_tail, found_in

_LAST = 33 + NEWEST
"""The last line of the sample register: each migration has one."""


@pytest.fixture(scope="module")
def tampering(tmp_path_factory: pytest.TempPathFactory) -> Tampering:
    folder = tmp_path_factory.mktemp("register")
    with build_register(folder / "r.appreg") as register:
        register.rows("PRAGMA wal_checkpoint(TRUNCATE)")
    return Tampering(folder / "r.appreg", folder)


def _run(statement: str) -> Alter:
    return lambda raw: raw.execute(statement)


@pytest.mark.parametrize(
    ("alter", "fault"),
    [
        (cut_tail(3, with_note=False), f"ends at line {_LAST - 3}, but the register remembers {_LAST}"),
        (_run("DELETE FROM journal"), f"has no line, but the register remembers {_LAST}"),
        (_run("DELETE FROM register_meta WHERE key GLOB 'head:*'"), f"ends at line {_LAST}, but the register remembers nothing"),
        (
            _run(f"UPDATE register_meta SET value = '{_LAST} ' || hex(zeroblob(32)) WHERE key GLOB 'head:*'"),
            f"ends at line {_LAST}, but the register remembers another line of that number",
        ),
        (_run(f"UPDATE journal SET who = 'Eve' WHERE sequence = {_LAST}"), f"ends at line {_LAST}, which was altered"),
        (_run(f"UPDATE journal SET \"after\" = '{{}}' WHERE sequence = {_LAST}"), f"ends at line {_LAST}, which was altered"),
    ],
)  # fmt: skip
def test_nothing_is_saved_where_the_end_of_the_journal_is_in_doubt(
    alter: Alter, fault: str, tampering: Tampering
) -> None:
    path = tampering.altered(alter)
    with open_register(path) as register:
        before = list(problems(register))
        with pytest.raises(RegisterUnusable, match=fault) as refused, register.change("Sam") as change:
            change.put(replace(CLIENT, name="Other"))
        assert "nothing is saved" in str(refused.value)
        assert "`appreg verify`" in str(refused.value)
        assert list(problems(register)) == before != []


def test_the_trace_of_a_tail_cut_off_outlives_an_attempt_to_save(tampering: Tampering) -> None:
    path = tampering.altered(cut_tail(2, with_note=False))
    with open_register(path) as register, pytest.raises(RegisterUnusable), register.change("Sam") as change:
        change.put(replace(CLIENT, name="Other"))
    assert any(problem.table == "register_meta" for problem in found_in(path))


def test_a_migration_refuses_too(tampering: Tampering) -> None:
    def back_to_two(raw: sqlite3.Connection) -> None:
        raw.execute("DELETE FROM migration WHERE number = 3")
        for name in ("appliance_order", "appliance_site_order"):
            raw.execute(f"DROP INDEX IF EXISTS {name}")
        cut_tail(1, with_note=False)(raw)

    path = tampering.altered(back_to_two)
    with pytest.raises(RegisterUnusable, match="nothing is saved"):
        open_register(path)


def test_the_seal_is_of_the_last_line_and_goes_on_with_it(tmp_path: Path) -> None:
    with build_register(tmp_path / "r.appreg") as register:
        first = present_seal(register)
        assert first is not None
        ((position, own_hash),) = register.rows("SELECT sequence, hash FROM journal ORDER BY sequence DESC LIMIT 1")
        assert first == seal_at(position, own_hash)
        with register.change("Sam") as change:
            change.put(replace(CLIENT, name="Other"))
        second = present_seal(register)
        assert second is not None
        assert second.position == first.position + 1
        followed = FollowedChain((first.position,))
        assert list(problems(register, followed=followed)) == []
        assert followed.seals == {first} == seals_at(register, [first.position, 10**6])
        assert followed.seal == second
