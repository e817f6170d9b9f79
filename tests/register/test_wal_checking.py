"""Saves that stand in the file beside the register and that SQLite leaves out in silence, as a bit before them is wrong."""

import shutil
from pathlib import Path

import pytest
from msgspec.structs import replace

from appreg.register.checking.checking import problems
from appreg.register.opening.register_file import open_register
from tests.register.sample_register import CLIENT, build_register


@pytest.fixture(scope="module")
def crashed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A register whose program was killed: the last three saves stand in the file beside it."""
    folder = tmp_path_factory.mktemp("crashed")
    build_register(folder / "open.appreg").close()
    with open_register(folder / "open.appreg") as register:
        for name in ("A", "B", "C"):
            with register.change("Sam") as change:
                change.put(replace(CLIENT, name=name))
        for end in ("", "-wal"):
            shutil.copy(folder / f"open.appreg{end}", folder / f"r.appreg{end}")
    return folder / "r.appreg"


def _found(crashed: Path, folder: Path, place: float | None) -> list[str]:
    path = folder / "r.appreg"
    for end in ("", "-wal"):
        shutil.copy(crashed.with_name(crashed.name + end), path.with_name(path.name + end))
    if place is not None:
        wal = path.with_name("r.appreg-wal")
        content = bytearray(wal.read_bytes())
        content[int(place if place > 1 else place * len(content))] ^= 4
        wal.write_bytes(content)
    with open_register(path) as register:
        return [problem.sentence for problem in problems(register)]


def test_what_a_killed_program_left_is_sound(crashed: Path, tmp_path: Path) -> None:
    assert _found(crashed, tmp_path, None) == []


@pytest.mark.parametrize("place", [0, 0.0005, 33, 37, 41, 46, 50, 60, 0.01, 0.2, 0.5, 0.9])
def test_a_bit_that_hides_saves_is_noticed(place: float, crashed: Path, tmp_path: Path) -> None:
    found = _found(crashed, tmp_path, place)
    assert any("cannot be read" in sentence for sentence in found), found


def test_a_file_whose_saves_were_all_taken_over_is_no_problem(tmp_path: Path) -> None:
    path = tmp_path / "r.appreg"
    with build_register(path) as register:
        for pragma in ("PASSIVE", "FULL", "RESTART"):
            register.rows(f"PRAGMA wal_checkpoint({pragma})")
            assert list(problems(register)) == []
            with register.change("Sam") as change:
                change.put(replace(CLIENT, name=pragma))
            assert list(problems(register)) == []
