"""`appreg verify` on the demo: sound as built, and wrong, with the place named, after any cell changed behind its back."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any, Final

import pytest
from msgspec.structs import replace

from appreg.cli.console import ProgressLine
from appreg.cli.main import main
from appreg.core.records.kept_records import Appliance, FindingRecord, Inspection
from tests.cli.conftest import Call
from tests.cli.json_forms import checked
from tests.tasks.worked_site import WorkedSite

COLUMNS: Final = [
    *(("inspection", name) for name in Inspection.__struct_fields__),
    *(("finding", name) for name in FindingRecord.__struct_fields__),
]
LIKELY: Final = {"finding": "pass", "outcome": "pass", "reading": "0.05", "date": "2024-02-29", "limit_high": "9.99"}
"""What somebody who wants a better result would write; every other cell is changed to something of its kind."""


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo as the command builds it, whole in one file."""
    path = tmp_path_factory.mktemp("demo") / "demo.sqlite"
    assert main(["demo", "--no-ui", "--register", str(path)]) == 0
    with closing(sqlite3.connect(path)) as raw:
        raw.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return path


@contextmanager
def behind_its_back(path: Path) -> Iterator[sqlite3.Connection]:
    """A connection on which no check, reference or trigger stands in the way; the triggers are put back afterwards."""
    with closing(sqlite3.connect(path, isolation_level=None)) as raw:
        raw.execute("PRAGMA ignore_check_constraints = ON")
        raw.execute("PRAGMA foreign_keys = OFF")
        triggers = raw.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
        assert triggers
        for name, _ in triggers:
            raw.execute(f'DROP TRIGGER "{name}"')
        try:
            yield raw
        finally:
            for _, sql in triggers:
                raw.execute(sql)


def failed_row(raw: sqlite3.Connection, table: str) -> int:
    """A row that somebody might want to look better."""
    failed = "outcome" if table == "inspection" else "limit_high IS NOT NULL AND finding"
    ((rowid,),) = raw.execute(f"SELECT max(rowid) FROM {table} WHERE {failed} = 'fail'").fetchall()  # noqa: S608 - our names
    return int(rowid)


def other_than(column: str, value: Any) -> Any:
    likely = LIKELY.get(column)
    if likely is not None and likely != value:
        return likely
    return "X" if value is None else value + 1000 if isinstance(value, int) else f"{value}X"


def test_the_demo_as_built_is_sound(demo: Path, call: Call) -> None:
    answer = call("verify", "--register", demo)
    assert (answer.code, answer.err) == (0, "")
    sound, seal = answer.out.splitlines()
    assert sound == f"{demo}: sound; the journal is unbroken and agrees with the tables."
    assert seal == f"Its seal is {seal_of(demo)}"
    assert call("verify", "--json", "--register", demo).json == {
        "format": "appreg.verification", "version": 1,
        "register": str(demo), "sound": True, "problems": [], "seal": seal_of(demo), "remarks": [],
    }  # fmt: skip


@pytest.mark.parametrize("options", [(), ("--json",), ("--accept",)])
@pytest.mark.parametrize("steps", [0, 1])
def test_a_check_that_is_stopped_says_nothing_of_the_register(
    demo: Path, call: Call, monkeypatch: pytest.MonkeyPatch, options: tuple[str, ...], steps: int
) -> None:
    left = iter([True] * steps)

    def stopped(_line: ProgressLine, _done: int, _total: int) -> bool:
        if next(left, False):
            return True
        raise KeyboardInterrupt

    monkeypatch.setattr(ProgressLine, "__call__", stopped)
    answer = call("verify", *options, "--register", demo)
    assert (answer.code, answer.err) == (3, "appreg: Stopped before its end.\n")
    if options == ("--json",):
        assert checked(answer) == "appreg.error"
        told: Any = answer.json
        assert (told["error"], told["exit_code"]) == ("Stopped before its end.", 3)
    else:
        assert answer.out == ""


def seal_of(path: Path, line: int | None = None) -> str:
    """The seal of a line, by default the last, as the journal's own columns give it."""
    with closing(sqlite3.connect(path)) as raw:
        last = "(SELECT max(sequence) FROM journal)" if line is None else str(line)
        sequence, own_hash = raw.execute(f"SELECT sequence, hash FROM journal WHERE sequence = {last}").fetchone()  # noqa: S608 - our names
    return f"{sequence} {'-'.join(own_hash[at : at + 4].upper() for at in range(0, 20, 4))}"


@pytest.mark.parametrize(("table", "column"), COLUMNS, ids=lambda part: part)
def test_a_cell_changed_behind_its_back_is_named(demo: Path, call: Call, table: str, column: str) -> None:
    with behind_its_back(demo) as raw:
        rowid = failed_row(raw, table)
        read = f'SELECT "{column}", uid FROM {table} WHERE rowid = ?'  # noqa: S608 - our names
        write = f'UPDATE {table} SET "{column}" = ? WHERE rowid = ?'  # noqa: S608 - our names
        before, uid = raw.execute(read, (rowid,)).fetchone()
        raw.execute(write, (other_than(column, before), rowid))
        assert raw.execute(read, (rowid,)).fetchone()[0] != before
    try:
        answer = call("verify", "--register", demo)
    finally:
        with behind_its_back(demo) as raw:
            raw.execute(write, (before, rowid))
    assert (answer.code, answer.err) == (1, "")
    told = [line for line in answer.out.splitlines() if line.startswith(f"table {table}, row {uid}")]
    assert told, answer.out
    # Where the key itself is changed, the row is told to be gone.
    wanted = "no longer in its table" if column == "uid" else f", column {column}: "
    assert any(wanted in line for line in told), answer.out


def test_what_was_put_back_is_sound_again(demo: Path, call: Call) -> None:
    assert call("verify", "--register", demo).code == 0
    assert call("verify", "--register", demo, "--json").code == 0


def test_a_seal_noted_before_is_contained_however_it_is_typed(row: WorkedSite, call: Call) -> None:
    noted = [seal_of(row.register.path, line) for line in (1, 7)] + [seal_of(row.register.path)]
    assert call("move", row.kettle().tag, "brought").code == 0
    for seal in noted:
        answer = call("verify", "--seal", seal.lower().replace("-", " "))
        assert (answer.code, answer.err) == (0, "")
        assert answer.out.splitlines()[-1] == f"{seal}: contained"
        assert call("verify", "--seal", seal, "--json").json["asked"] == {"seal": seal, "answer": "contained"}  # type: ignore[index]


def test_a_register_that_went_less_far_is_shorter_by_so_many_changes(row: WorkedSite, call: Call) -> None:
    position, digest = seal_of(row.register.path).split(" ")
    answer = call("verify", "--seal", f"{int(position) + 5} {digest}")
    assert (answer.code, answer.err) == (1, "")
    assert answer.out.endswith(": shorter: 5 changes missing\n")


def test_a_seal_of_another_history_is_told_apart_and_where_it_parts_as_far_as_that_is_known(
    row: WorkedSite, call: Call
) -> None:
    position, digest = seal_of(row.register.path).split(" ")
    other = f"{position} {digest[:-1]}{'0' if digest[-1] != '0' else '1'}"
    answer = call("verify", "--seal", other)
    assert (answer.code, answer.err) == (1, "")
    assert answer.out.endswith(f"{other}: another history at or before line {position}\n")
    assert "sound" in answer.out


def test_a_seal_this_machine_saw_of_the_history_that_was_replaced_is_narrowed_down(
    row: WorkedSite, call: Call, tmp_path: Path
) -> None:
    path = row.register.path
    copy = tmp_path / "copy"
    call("due")
    with closing(sqlite3.connect(path)) as raw, closing(sqlite3.connect(copy)) as kept:
        raw.backup(kept)
    fork = int(seal_of(path).split(" ")[0])
    item = row.kettle().tag
    assert call("move", item, "brought").err == ""
    lost = seal_of(path)
    with closing(sqlite3.connect(copy)) as kept, closing(sqlite3.connect(path)) as raw:
        kept.backup(raw)
    for _ in range(4):
        assert call("move", "HR-001", "brought").code == 0
    answer = call("verify", "--seal", lost)
    assert answer.code == 1
    assert f"{lost}: another history from " in answer.out
    assert f"line {fork + 1}" in answer.out or f"between {fork + 1} and" in answer.out
    assert "is not what this machine saw of it" in answer.err
    accepted = call("verify", "--accept")
    assert accepted.code == 0
    assert accepted.out.endswith("takes it for the register that belongs there.\n")
    assert call("due").err == ""


def test_what_is_no_seal_is_refused_before_the_register_is_looked_at(call: Call, tmp_path: Path) -> None:
    answer = call("verify", "--seal", "3490", "--register", tmp_path / "none")
    assert answer.code == 2
    assert "is no seal" in answer.err


def test_what_is_not_sound_has_no_seal_and_is_not_accepted(row: WorkedSite, call: Call) -> None:
    with behind_its_back(row.register.path) as raw:
        raw.execute("UPDATE appliance SET notes = 'x'")
    answer = call("verify", "--accept")
    assert answer.code == 1
    assert "Its seal" not in answer.out
    assert answer.out.endswith("It is not accepted, as it is not sound.\n")
    assert call("verify", "--json").json["seal"] is None  # type: ignore[index]


def test_a_cell_forged_and_then_edited_through_the_program_stays_noticed(row: WorkedSite, call: Call) -> None:
    item = row.kettle()
    with behind_its_back(row.register.path) as raw:
        raw.execute("UPDATE appliance SET notes = 'forged' WHERE uid = ?", (item.uid,))
    forged = row.register.get(Appliance, item.uid)
    with row.register.change("Sam") as change:
        change.put(replace(forged, notes="edited"))
    answer = call("verify")
    assert answer.code == 1
    assert f"says that notes of appliance {item.uid} was 'forged', but the lines before it say ''" in answer.out


def test_the_demo_built_anew_is_not_taken_for_another_register(call: Call, tmp_path: Path) -> None:
    path = tmp_path / "demo.sqlite"
    for _ in range(2):
        assert call("demo", "--no-ui", "--register", path).code == 0
        assert call("verify", "--register", path).err == ""
