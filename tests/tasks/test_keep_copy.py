"""Copies kept by request, on closing after work, and before a register is brought up to date."""

import os
import resource
import sqlite3
import threading
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from msgspec.structs import replace

from appreg.clock import Instant
from appreg.core.records.kept_records import Client
from appreg.errors import InputRefused, RegisterUnusable
from appreg.left_drafts import draft_beside
from appreg.progress import Stopped
from appreg.register.copies.copy_checking import copy_problems
from appreg.register.opening import copying, migrations
from appreg.register.opening.copying import copies_folder
from appreg.register.opening.register_file import Register, open_register
from appreg.register.schema import file_marks
from appreg.register.schema.later_tables import MIGRATIONS
from appreg.tasks.desk.keep_settings import Settings
from appreg.tasks.desk.list_copies import list_copies
from appreg.tasks.keeping import keep_copy as keeping
from appreg.tasks.keeping.build_demo import build_demo
from appreg.tasks.keeping.end_work import end_command, end_work
from appreg.tasks.keeping.keep_copy import keep_copy, write_backup
from appreg.tasks.keeping.restore_copy import prepare_restore, put_restored
from tests.tasks.worked_site import TODAY

NOW = Instant(1_795_000_000_000)
DAY = 86_400_000
BESIDE = ("-wal", "-shm", "-journal")


@pytest.fixture
def register(tmp_path: Path) -> Iterator[Register]:
    with open_register(tmp_path / "r.sqlite") as opened:
        put(opened, "first")
        yield opened


def own_state(path: Path) -> dict[str, str]:
    """What this machine is to remember, and the settings, stay beside the register."""
    return {"XDG_STATE_HOME": str(path.parent / "state"), "APPREG_SETTINGS": str(path.parent / "settings.toml")}


def put(register: Register, name: str) -> None:
    with register.change("Sam") as change:
        change.put(Client(uid=change.new_uid(), name=name))


def names_in(path: Path) -> set[str]:
    with closing(sqlite3.connect(f"file:{path}?immutable=1", uri=True)) as connection:
        return {name for (name,) in connection.execute("SELECT name FROM client")}


def kept(register: Register) -> list[Path]:
    return [copy.path for copy in list_copies(copies_folder(register.path))]


def closed(register: Register, settings: Settings | None = None, now: Instant = NOW) -> tuple[str, ...]:
    return end_work(register, settings=settings or Settings(), environ=own_state(register.path), now=now)


def test_a_backup_holds_what_stands_in_the_wal_alone_and_stands_by_itself(register: Register, tmp_path: Path) -> None:
    made = write_backup(register, tmp_path / "copy.sqlite")
    assert register.path.with_name("r.sqlite-wal").stat().st_size > 0
    assert names_in(made.path) == {"first"}
    assert made.problems == ()
    assert made.path.stat().st_mode & 0o777 == 0o600
    assert sorted(each.name for each in tmp_path.iterdir()) == [
        "copy.sqlite",
        "r.sqlite",
        "r.sqlite-shm",
        "r.sqlite-wal",
    ]
    with closing(sqlite3.connect(made.path)) as connection:
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("delete",)


def test_a_backup_goes_over_nothing(register: Register, tmp_path: Path) -> None:
    there = tmp_path / "letter.txt"
    there.write_text("dear")
    for place in (there, register.path, register.path.with_name("r.sqlite-wal"), tmp_path, tmp_path / "no" / "folder"):
        with pytest.raises(InputRefused):
            write_backup(register, place)
    assert there.read_text() == "dear"


def test_a_backup_is_one_instant_while_others_write(register: Register, tmp_path: Path) -> None:
    stop = threading.Event()

    def write() -> None:
        with register.reopen() as other:
            number = 0
            while not stop.is_set():
                with other.change("Ann") as change:
                    for side in ("left", "right"):
                        change.put(Client(uid=change.new_uid(), name=f"{side} {number}"))
                number += 1

    writer = threading.Thread(target=write)
    writer.start()
    try:
        for number in range(5):
            made = write_backup(register, tmp_path / f"copy {number}")
            assert made.problems == ()
            names = names_in(made.path)
            assert {n[5:] for n in names if n.startswith("left ")} == {n[6:] for n in names if n.startswith("right ")}
    finally:
        stop.set()
        writer.join()


def test_a_backup_stopped_by_the_person_leaves_nothing(register: Register, tmp_path: Path) -> None:
    steps = []

    def stop_at(limit: int) -> bool:
        def progress(done: int, total: int) -> bool:
            steps.append((done, total))
            return done < limit

        with pytest.raises(Stopped, match=r"no copy was made|nothing was kept"):
            write_backup(register, tmp_path / "copy", progress=progress)
        return not (tmp_path / "copy").exists()

    assert stop_at(1)
    assert stop_at(50)
    assert not [each for each in tmp_path.iterdir() if each.name.startswith(".")]


def test_a_damaged_register_is_copied_all_the_same_and_the_copy_is_marked(register: Register, tmp_path: Path) -> None:
    register.connection.execute("UPDATE client SET name = 'forged'")
    made = keep_copy(register, settings=Settings(), now=NOW)
    assert made.path.name.endswith("-unsound.sqlite")
    assert any("forged" in problem.sentence for problem in made.problems)
    assert names_in(made.path) == {"forged"}
    with pytest.raises(RegisterUnusable, match="is damaged"):
        prepare_restore(tmp_path / "elsewhere.sqlite", made.path)
    (said,) = closed(register)
    assert "1 problem" in said
    assert "`appreg verify`" in said


def test_closing_keeps_one_copy_of_what_was_saved_and_none_where_nothing_was(register: Register) -> None:
    assert closed(register) == ()
    (copy,) = kept(register)
    assert names_in(copy) == {"first"}
    assert closed(register, now=Instant(NOW + DAY)) == ()
    assert kept(register) == [copy]
    put(register, "second")
    closed(register, now=Instant(NOW + 2 * DAY))
    assert len(kept(register)) == 2


def test_after_a_restore_to_an_earlier_line_work_is_kept_again(register: Register) -> None:
    first = keep_copy(register, settings=Settings(), now=NOW)
    put(register, "given up")
    closed(register, now=Instant(NOW + 1000))
    register.close()
    put_restored(prepare_restore(register.path, first.path), environ=own_state(register.path), now=NOW)
    with open_register(register.path) as again:
        put(again, "instead")
        closed(again, now=Instant(NOW + 2000))
        assert names_in(kept(again)[0]) == {"first", "instead"}


def test_old_copies_go_once_a_new_one_is_made(register: Register) -> None:
    settings = Settings(copies_kept=2, copies_days=0)
    for number in range(4):
        put(register, f"client {number}")
        closed(register, settings, Instant(NOW + number * 1000))
    assert len(kept(register)) == 2
    assert "client 3" in names_in(kept(register)[0])


def test_two_registers_in_one_folder_and_in_one_second_folder_do_not_mix(register: Register, tmp_path: Path) -> None:
    second = tmp_path / "stick"
    second.mkdir()
    settings = Settings(copies_kept=1, copies_days=0, second_folder=str(second))
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    with open_register(tmp_path / "other.sqlite") as other, open_register(elsewhere / "r.sqlite") as namesake:
        for each in (other, namesake):
            put(each, "of another")
        for number in range(3):
            for each in (register, other, namesake):
                put(each, f"{number}")
                assert closed(each, settings, Instant(NOW + number * 1000)) == ()
        assert [len(kept(each)) for each in (register, other, namesake)] == [1, 1, 1]
    copies = list_copies(second / "r.sqlite.copies")
    assert {"first" in names_in(copy.path) for copy in copies} == {True, False}
    assert len(copies) == 2


def test_a_second_folder_that_is_not_there_is_said_and_caught_up_with(register: Register, tmp_path: Path) -> None:
    second = tmp_path / "stick"
    settings = Settings(second_folder=str(second))
    (said,) = closed(register, settings)
    assert "not in the second folder" in said
    assert str(second) in said
    assert len(kept(register)) == 1
    assert not second.exists()
    second.mkdir()
    assert closed(register, settings) == ()
    (copy,) = list_copies(second / "r.sqlite.copies")
    assert copy.path.read_bytes() == kept(register)[0].read_bytes()


def test_a_folder_that_cannot_be_written_is_said_and_nobody_is_kept_from_leaving(register: Register) -> None:
    copies_folder(register.path).write_text("a file in its place")
    (said,) = closed(register)
    assert said.startswith("No copy of the register was kept: ")


def test_after_a_register_was_only_read_nothing_is_said_of_copies(
    register: Register, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Register, "read_only", "the file may not be written to")
    assert closed(register) == ()
    assert not copies_folder(register.path).exists()


def test_a_full_disk_is_said_with_its_own_reason(register: Register, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise sqlite3.OperationalError("database or disk is full")

    monkeypatch.setattr(copying, "journal_end", full)
    (said,) = closed(register)
    assert "disk is full" in said
    assert "make room" in said
    assert kept(register) == []


def test_a_file_that_may_not_grow_so_far_is_said_and_leaves_nothing(register: Register, tmp_path: Path) -> None:
    told = tmp_path / "told"
    register.close()
    child = os.fork()
    if child == 0:
        try:
            with open_register(register.path) as again:
                resource.setrlimit(resource.RLIMIT_FSIZE, (100_000, 100_000))
                told.write_text("\n".join(closed(again)))
        finally:
            os._exit(0)
    os.waitpid(child, 0)
    assert told.read_text().startswith("No copy of the register was kept: No copy of ")
    assert "make room there" in told.read_text()
    assert list(copies_folder(register.path).iterdir()) == []


def test_ctrl_c_while_a_copy_is_kept_leaves_without_one(register: Register, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(keeping, "copy_problems", interrupted)
    assert closed(register) == ("Stopped: no copy of the register was kept; `appreg backup` makes one.",)
    assert list(copies_folder(register.path).iterdir()) == []


def test_after_a_command_a_copy_is_kept_once_a_day(register: Register) -> None:
    for hours, copies in ((0, 1), (1, 1), (23, 1), (25, 2)):
        put(register, f"after {hours} hours")
        assert end_command(register, environ=own_state(register.path), now=Instant(NOW + hours * 3_600_000)) == ()
        assert len(kept(register)) == copies


def test_a_demo_that_nobody_has_changed_is_not_copied(tmp_path: Path) -> None:
    path = tmp_path / "demo.sqlite"
    build_demo(path, today=TODAY)
    with open_register(path) as register:
        assert closed(register) == ()
        assert not copies_folder(path).exists()
        put(register, "mine")
        closed(register)
        assert len(kept(register)) == 1


def older_register(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as older:
        older.setattr(migrations, "MIGRATIONS", MIGRATIONS[:1])
        older.setattr(migrations, "NEWEST", 1)
        older.setattr(file_marks, "NEWEST", 1)
        with open_register(path) as register:
            put(register, "first")


def version_of(path: Path) -> int:
    with closing(sqlite3.connect(f"file:{path}?immutable=1", uri=True)) as connection:
        return int(connection.execute("PRAGMA user_version").fetchone()[0])


def test_before_an_older_register_is_changed_a_copy_of_it_is_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "old.sqlite"
    older_register(path, monkeypatch)
    with open_register(path) as register:
        (copy,) = kept(register)
    assert version_of(path) == file_marks.NEWEST
    assert version_of(copy) == 1
    assert names_in(copy) == {"first"}
    assert copy_problems(copy) == ()
    assert [each.name for each in copies_folder(path).iterdir()] == [copy.name]
    put_restored(prepare_restore(path, copy), environ=own_state(path), now=NOW)
    assert version_of(path) == 1
    with open_register(path) as register:
        assert [client.name for client in register.find(Client)] == ["first"]
        assert len(list(copies_folder(path).glob("*-line-*"))) == 2


def test_an_older_register_stays_as_it_is_where_no_copy_can_be_kept_first(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "old.sqlite"
    older_register(path, monkeypatch)
    copies_folder(path).write_text("a file in its place")
    with pytest.raises(
        RegisterUnusable, match=r"no copy of it could be kept first: The folder .*copies .* made .File exists.; make"
    ):
        open_register(path)
    assert version_of(path) == 1
    copies_folder(path).unlink()
    open_register(path).close()
    assert version_of(path) == file_marks.NEWEST


def test_a_new_register_and_one_of_today_are_opened_without_a_copy(register: Register) -> None:
    register.reopen().close()
    assert not copies_folder(register.path).exists()


def test_settings_replaced_hold_for_the_next_copy(register: Register) -> None:
    settings = replace(Settings(), copies_kept=1, copies_days=0)
    for number in range(3):
        put(register, str(number))
        closed(register, settings, Instant(NOW + number * 1000))
    assert len(kept(register)) == 1


def test_what_a_killed_backup_left_goes_with_the_next(register: Register) -> None:
    folder = copies_folder(register.path)
    folder.mkdir()
    child = os.fork()
    if child == 0:
        beside = draft_beside(folder / "copy")
        for end in ("", "-wal", "-shm"):
            beside.with_name(beside.name + end).touch()
        os._exit(0)
    os.waitpid(child, 0)
    assert len(list(folder.iterdir())) == 3
    made = keep_copy(register, settings=Settings(), now=NOW)
    assert list(folder.iterdir()) == [made.path]
