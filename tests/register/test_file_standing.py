"""What is confirmed is in the file at the path: no save goes into one that was moved, removed, replaced or cut short."""

import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from msgspec.structs import replace

from appreg.core.records.kept_records import Client
from appreg.errors import RegisterUnusable
from appreg.register.checking.checking import problems
from appreg.register.opening.register_file import Register, open_register
from appreg.register.opening.register_making import make_register
from tests.register.sample_register import CLIENT, build_register

_ENDS = ("", "-wal", "-shm")


def removed(path: Path) -> None:
    for end in _ENDS:
        path.with_name(path.name + end).unlink()


def renamed(path: Path) -> None:
    path.rename(path.with_name("aside"))


def moved_whole(path: Path) -> None:
    for end in _ENDS:
        path.with_name(path.name + end).rename(path.with_name("aside" + end))


def replaced(path: Path) -> None:
    make_register(path.with_name("other"))
    path.with_name("other").rename(path)


def restored(path: Path) -> None:
    moved_whole(path)
    shutil.copyfile(path.with_name("aside"), path)


def folder_moved(path: Path) -> None:
    path.parent.rename(path.parent.with_name("elsewhere"))


def log_removed(path: Path) -> None:
    path.with_name(path.name + "-wal").unlink()


def log_replaced(path: Path) -> None:
    log_removed(path)
    path.with_name(path.name + "-wal").touch()


def log_emptied(path: Path) -> None:
    os.truncate(path.with_name(path.name + "-wal"), 0)


def index_removed(path: Path) -> None:
    path.with_name(path.name + "-shm").unlink()


def emptied(path: Path) -> None:
    os.truncate(path, 0)


def cut_short(path: Path) -> None:
    os.truncate(path, path.stat().st_size - 4096)


CHANGES = (
    removed, renamed, moved_whole, replaced, restored, folder_moved, log_removed, log_replaced, log_emptied,
    index_removed, emptied, cut_short,
)  # fmt: skip


@pytest.fixture
def register(tmp_path: Path) -> Register:
    """One in a folder of its own, open, whose file is grown and whose last changes stand in its -wal."""
    path = tmp_path / "folder" / "r.appreg"
    build_register(path).close()
    register = open_register(path)
    with register.change("Sam") as change:
        change.put(replace(CLIENT, notes="before"))
    return register


@pytest.mark.parametrize("change_file", CHANGES)
def test_nothing_is_confirmed_that_is_not_in_the_file_at_the_path(
    change_file: Callable[[Path], None], register: Register
) -> None:
    assert register.look() == ""
    change_file(register.path)
    assert register.look().endswith(" open.")
    with (
        pytest.raises(RegisterUnusable, match=r"^[^\n]+, and nothing was saved; put it back, or leave[^\n]+\.$"),
        register.change("Sam") as change,
    ):
        change.put(replace(CLIENT, notes="after"))
    register.close()


@pytest.mark.parametrize("change_file", CHANGES)
def test_a_file_changed_while_a_change_is_made_takes_none_of_it(
    change_file: Callable[[Path], None], register: Register
) -> None:
    def enter() -> None:
        with register.change("Sam") as change:
            change.put(replace(CLIENT, notes="after"))
            change_file(register.path)

    with pytest.raises(RegisterUnusable, match="nothing was saved"):
        enter()
    if change_file not in {emptied, log_emptied, cut_short}:  # which reading cannot be expected to survive
        assert register.get(Client, CLIENT.uid).notes == "before"
    register.close()


def test_a_file_that_is_put_back_takes_changes_again(register: Register) -> None:
    path = register.path
    renamed(path)
    with pytest.raises(RegisterUnusable, match="was moved or removed"), register.change("Sam") as change:
        change.put(replace(CLIENT, notes="lost"))
    path.with_name("aside").rename(path)
    with register.change("Sam") as change:
        change.put(replace(CLIENT, notes="kept"))
    register.close()
    with open_register(path) as again:
        assert again.get(Client, CLIENT.uid).notes == "kept"
        assert list(problems(again)) == []


def test_closing_a_register_that_was_moved_away_harms_neither_it_nor_the_one_in_its_place(register: Register) -> None:
    path = register.path
    moved_whole(path)
    make_register(path)
    with open_register(path) as other:
        with other.change("Ann") as change:
            change.put(replace(CLIENT, notes="in the new one"))
        register.close()
        with other.change("Ann") as change:
            change.put(replace(CLIENT, notes="in the new one still"))
    for place, notes in ((path, "in the new one still"), (path.with_name("aside"), "before")):
        with open_register(place) as each:
            assert each.get(Client, CLIENT.uid).notes == notes
            assert list(problems(each)) == []


def test_a_thread_does_not_read_another_file_than_the_one_that_was_opened(register: Register) -> None:
    restored(register.path)
    with pytest.raises(RegisterUnusable, match="Another file was put in the place"):
        register.reopen()
    register.close()


def test_a_link_that_is_turned_to_another_register_is_noticed(tmp_path: Path) -> None:
    link = tmp_path / "link"
    for name in ("a", "b"):
        build_register(tmp_path / name).close()
    link.symlink_to(tmp_path / "a")
    with open_register(link) as register:
        with register.change("Sam") as change:
            change.put(replace(CLIENT, notes="in a"))
        link.unlink()
        link.symlink_to(tmp_path / "b")
        with pytest.raises(RegisterUnusable, match="Another file was put"), register.change("Sam") as change:
            change.put(replace(CLIENT, notes="in none"))


def test_a_second_desk_that_writes_and_leaves_is_no_harm(register: Register) -> None:
    with open_register(register.path) as second, second.change("Ann") as change:
        for number in range(300):
            change.put(Client(uid=second.new_uid(), name=f"{number}" * 50))
    with open_register(register.path) as second:
        second.rows("PRAGMA wal_checkpoint(PASSIVE)")
    with register.change("Sam") as change:
        change.put(replace(CLIENT, notes="after"))
    register.close()
