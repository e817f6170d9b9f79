"""What this machine remembers of registers, and what it says when less or something else turns up at their place."""

import json
import os
import shutil
import threading
from collections.abc import Mapping
from contextlib import closing
from itertools import pairwise
from pathlib import Path
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from appreg.clock import Instant
from appreg.core.records.kept_records import Appliance, Client
from appreg.core.records.seals import Seal
from appreg.register.journal.journal_ends import present_seal
from appreg.register.opening.register_file import open_register
from appreg.tasks.desk.own_folders import state_folder
from appreg.tasks.keeping.keep_seals import MOST_SEALS, load_seen, with_seal
from appreg.tasks.keeping.remember_seals import Departure, accept, begin_seals, departure, note_made_anew, remember
from appreg.tasks.keeping.restore_copy import prepare_restore, put_restored
from tests.register.sample_register import ticking_clock
from tests.register.tampering import Tampering, cut_tail, forge_name, random_site


@pytest.fixture
def machine(tmp_path: Path) -> Mapping[str, str]:
    """The environment of a machine that remembers nothing yet."""
    return {**os.environ, "XDG_STATE_HOME": str(tmp_path / "state"), "LOCALAPPDATA": str(tmp_path / "state")}


@pytest.fixture
def path(tmp_path: Path) -> Path:
    place = tmp_path / "r.appreg"
    random_site(place, 3).close()
    return place


def rename(path: Path, name: str) -> None:
    """One more change."""
    with open_register(path, clock=ticking_clock()) as register, register.change("Sam") as change:
        change.put(replace(register.find(Client)[0], name=name))


def begun(path: Path, machine: Mapping[str, str]) -> tuple[str, ...]:
    """What is said when work begins on it."""
    with open_register(path) as register:
        return begin_seals(register, machine)


def end_of(path: Path) -> int:
    with open_register(path) as register:
        seal = present_seal(register)
    assert seal is not None
    return seal.position


def kept(machine: Mapping[str, str]) -> Path:
    return state_folder(machine) / "seals.txt"


def test_a_register_that_goes_on_is_never_spoken_of(path: Path, machine: Mapping[str, str]) -> None:
    for name in ("A", "B", "C"):
        assert begun(path, machine) == ()
        rename(path, name)
    assert begun(path, machine) == ()
    ((register,), whole) = load_seen(machine)
    assert whole
    assert register.present
    assert [seal.position for seal in register.seals] == list(range(end_of(path) - 3, end_of(path) + 1))


def test_an_older_copy_in_its_place_is_said_until_it_is_accepted(
    path: Path, machine: Mapping[str, str], tmp_path: Path
) -> None:
    shutil.copy(path, tmp_path / "copy")
    rename(path, "A")
    rename(path, "B")
    assert begun(path, machine) == ()
    shutil.copy(tmp_path / "copy", path)
    for _ in range(2):
        (said,) = begun(path, machine)
        assert "(shorter: 2 changes missing)" in said
        assert "`appreg verify --accept`" in said
    with open_register(path) as register:
        remember(register, machine)  # is no acceptance
    assert begun(path, machine) != ()
    with open_register(path) as register:
        accept(register, machine)
    assert begun(path, machine) == ()
    aside, present = load_seen(machine)[0]
    assert (aside.present, present.present) == (False, True)
    assert aside.seals[-1].position == end_of(path) + 2


def test_a_copy_that_went_on_by_itself_is_another_history_from_a_line_told(
    path: Path, machine: Mapping[str, str], tmp_path: Path
) -> None:
    assert begun(path, machine) == ()
    shutil.copy(path, tmp_path / "copy")
    fork = end_of(path)
    for name in ("A", "B"):
        rename(path, name)
        assert begun(path, machine) == ()
    shutil.copy(tmp_path / "copy", path)
    for name in ("C", "D", "E"):
        rename(path, name)
    (said,) = begun(path, machine)
    assert f"(another history from line {fork + 1} on)" in said


def test_a_whole_rewrite_with_every_hash_anew_is_another_history(
    path: Path, machine: Mapping[str, str], tmp_path: Path
) -> None:
    assert begun(path, machine) == ()
    with open_register(path) as register:
        uid = register.find(Appliance)[0].uid
    shutil.copy(Tampering(path, tmp_path).altered(forge_name(uid, "Forged")), path)
    (said,) = begun(path, machine)
    assert f"(another history at or before line {end_of(path)})" in said


def test_another_register_at_a_place_that_is_known_is_said(
    path: Path, machine: Mapping[str, str], tmp_path: Path
) -> None:
    assert begun(path, machine) == ()
    lines = end_of(path)
    random_site(tmp_path / "other.appreg", 4).close()
    (tmp_path / "other.appreg").replace(path)
    for _ in range(2):
        (said,) = begun(path, machine)
        assert "is another register than the one this machine knows there" in said
        assert f"{lines} lines" in said
    note_made_anew(path, machine)
    assert begun(path, machine) == ()
    assert [each.present for each in load_seen(machine)[0]] == [False, True]


def test_an_older_copy_at_another_place_is_said_once(path: Path, machine: Mapping[str, str], tmp_path: Path) -> None:
    copy = tmp_path / "copy.appreg"
    shutil.copy(path, copy)
    rename(path, "A")
    assert begun(path, machine) == ()
    (said,) = begun(copy, machine)
    assert "(shorter: 1 change missing)" in said
    assert str(path) in said
    assert begun(copy, machine) == ()
    assert begun(path, machine) == ()


def test_a_tail_cut_off_is_said_before_anything_is_typed(
    path: Path, machine: Mapping[str, str], tmp_path: Path
) -> None:
    shutil.copy(Tampering(path, tmp_path).altered(cut_tail(1, with_note=False)), path)
    (said,) = begun(path, machine)
    assert "nothing can be saved" in said


@pytest.mark.parametrize(
    "damage",
    [
        b"", b"\n", b"\xff\xfe\x00", b"#[]", b"#\nnull\n", b"#\n[1,2,3,4]\n", b"#\n" + b"{" * 3000 + b"\n",
        b'#\n["PLACE","b",true,[]]\n', b'#\n["PLACE","b",true,["x"]]\n', b'#\n["PLACE","b",true,["7 0000-0000"]]\n',
        b'#\n["PLACE","b",true,["2 0000-0000-0000-0000-0000","1 0000-0000-0000-0000-0000"]]\n',
        b'#\n["PLACE","b",1,["1 0000-0000-0000-0000-0000"]]\n', b'#\n["PLACE","b",true,["1 0000-0000-0000-0000-0000"]]',
        b"#\n" + b'["a","b",true,["1 0000-0000-0000-0000-0000"]]\n' * 60_000,
    ],
    ids=range(14),
)  # fmt: skip
def test_a_file_that_is_damaged_is_said_once_and_begun_anew(
    damage: bytes, path: Path, machine: Mapping[str, str]
) -> None:
    kept(machine).parent.mkdir(parents=True)
    kept(machine).write_bytes(damage.replace(b"PLACE", bytes(path)))
    said = begun(path, machine)
    assert "begun anew" in said[0]
    assert not [sentence for sentence in begun(path, machine) if "begun anew" in sentence]
    assert load_seen(machine)[1]
    assert any(each.path == str(path) for each in load_seen(machine)[0])


def test_lines_of_other_registers_outlive_damage_to_one(path: Path, machine: Mapping[str, str], tmp_path: Path) -> None:
    other = tmp_path / "other.appreg"
    random_site(other, 4).close()
    begun(path, machine)
    begun(other, machine)
    lines = kept(machine).read_text().splitlines(keepends=True)
    kept(machine).write_text("".join([lines[0], lines[1].replace("true", "perhaps"), lines[2]]))
    assert len(begun(path, machine)) == 1
    assert {each.path for each in load_seen(machine)[0]} == {str(path), str(other)}


def test_trouble_with_the_folder_stops_nothing(path: Path, machine: Mapping[str, str], tmp_path: Path) -> None:
    (tmp_path / "state").write_text("no folder")
    begun(path, machine)
    with open_register(path) as register:
        remember(register, machine)
        accept(register, machine)
    note_made_anew(path, machine)
    assert (tmp_path / "state").read_text() == "no folder"


def test_many_programs_at_once_never_lose_the_longest_seal(machine: Mapping[str, str], tmp_path: Path) -> None:
    places = [tmp_path / f"{number}.appreg" for number in range(4)]
    for number, place in enumerate(places):
        random_site(place, number).close()

    def work(place: Path) -> None:
        for number in range(6):
            rename(place, str(number))
            assert begun(place, machine) == ()

    threads = [threading.Thread(target=work, args=(place,)) for place in places]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    seen, whole = load_seen(machine)
    assert whole
    assert {each.path: each.seals[-1].position for each in seen} == {str(place): end_of(place) for place in places}


def test_a_program_that_saw_less_does_not_put_less_in(path: Path, machine: Mapping[str, str]) -> None:
    with open_register(path) as old:
        old.connection.execute("BEGIN")
        old.rows("SELECT 1 FROM journal LIMIT 1")
        rename(path, "A")
        assert begun(path, machine) == ()
        remember(old, machine)
    ((register,), _) = load_seen(machine)
    assert register.seals[-1].position == end_of(path)


def test_a_path_of_any_characters_is_remembered(machine: Mapping[str, str], tmp_path: Path) -> None:
    for name in ("a\nb", 'q"uote', "Ω [red]", "\udcff", "#"):
        place = tmp_path / name
        random_site(place, 1).close()
        note_made_anew(place, machine)
        begun(place, machine)
        assert begun(place, machine) == (), name
    assert {Path(each.path).name for each in load_seen(machine)[0]} == {"a\nb", 'q"uote', "Ω [red]", "\udcff", "#"}


@given(st.lists(st.integers(1, 500), min_size=1, max_size=120, unique=True).map(sorted))
def test_few_seals_are_kept_and_the_oldest_and_newest_among_them(positions: list[int]) -> None:
    seals: tuple[Seal, ...] = ()
    for position in positions:
        seals = with_seal(seals, Seal(position=position, digest="0" * 20))
        assert len(seals) <= MOST_SEALS
        assert (seals[0].position, seals[-1].position) == (positions[0], position)
    assert [seal.position for seal in seals] == sorted(seal.position for seal in seals)


def test_the_newest_seals_stand_closest_together() -> None:
    seals: tuple[Seal, ...] = ()
    for position in range(1, 2000):
        seals = with_seal(seals, Seal(position=position, digest="0" * 20))
    gaps = [later.position - earlier.position for earlier, later in pairwise(seals)]
    assert gaps[-1] <= 3
    assert max(gaps) < 1200
    assert sum(gaps[:5]) > sum(gaps[-5:])


@given(st.integers(1, 60), st.integers(0, 60), st.integers(0, 2**32))
def test_what_is_told_of_another_history_is_true_and_as_narrow_as_can_be(seen: int, fork: int, seed: int) -> None:
    chance = Random(seed)
    positions = sorted(chance.sample(range(1, seen + 1), min(seen, 8)))
    end = chance.randrange(1, 80)
    fork = min(fork, end)
    seals = [Seal(position=position, digest="A" * 20) for position in positions]
    held = frozenset(seal for seal in seals if seal.position <= fork)
    found = departure(seals, held, end=end)
    beyond = [position for position in positions if position > fork]
    if not beyond:
        assert found is None
    elif any(position <= end for position in beyond):
        assert found is not None
        assert found.earliest <= fork + 1 <= found.latest
        assert not [each for each in positions if found.earliest <= each < found.latest]
    else:
        assert found == Departure(missing=max(positions) - end)


def test_the_file_is_plain_lines_that_a_person_can_read(path: Path, machine: Mapping[str, str]) -> None:
    begun(path, machine)
    head, line = kept(machine).read_text().splitlines()
    assert head.startswith("# ")
    with closing(open_register(path)) as register:
        assert json.loads(line) == [str(path), register.origin, True, [str(present_seal(register))]]


def test_a_copy_that_was_restored_is_what_belongs_there(path: Path, machine: Mapping[str, str], tmp_path: Path) -> None:
    shutil.copy(path, tmp_path / "copy.sqlite")
    rename(path, "A")
    assert begun(path, machine) == ()
    put_restored(prepare_restore(path, tmp_path / "copy.sqlite"), environ=machine, now=Instant(1_795_000_000_000))
    assert begun(path, machine) == ()
    assert [each.present for each in load_seen(machine)[0]] == [False, True]


def test_a_restored_copy_is_not_held_against_what_was_seen_at_other_places(
    path: Path, machine: Mapping[str, str], tmp_path: Path
) -> None:
    shutil.copy(path, tmp_path / "older.sqlite")
    begun(path, machine)
    rename(path, "A")
    shutil.copy(path, tmp_path / "stick.sqlite")
    assert begun(tmp_path / "stick.sqlite", machine) == ()
    put_restored(prepare_restore(path, tmp_path / "older.sqlite"), environ=machine, now=Instant(1_795_000_000_000))
    assert begun(path, machine) == ()
    shutil.copy(path, tmp_path / "another.sqlite")
    (said,) = begun(tmp_path / "another.sqlite", machine)
    assert "shorter: 1 change missing" in said
