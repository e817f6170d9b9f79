"""Backup and restore of registers left by a program that was killed: nothing confirmed is lost, no -wal meets another file."""

import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from appreg.clock import Instant
from appreg.core.records.kept_records import Client
from appreg.errors import InputRefused, NotFound, RegisterUnusable
from appreg.progress import Stopped
from appreg.register.checking.checking import problems
from appreg.register.copies import replacing
from appreg.register.history.history_comparing import Standing
from appreg.register.opening.copying import copies_folder, read_name
from appreg.register.opening.register_file import open_register
from appreg.register.schema.file_marks import half_done_note
from appreg.tasks.desk.keep_settings import Settings
from appreg.tasks.keeping.copy_register import copy_register
from appreg.tasks.keeping.keep_copy import keep_copy, write_backup
from appreg.tasks.keeping.restore_copy import (
    Restored,
    lacking_sentences,
    named_copy,
    prepare_restore,
    put_restored,
    settle_restore,
)
from tests.register.crashed_registers import clients_in, crash
from tests.tasks.worked_site import combined, worked_site

NOW = Instant(1_795_000_000_000)
BESIDE = ("-wal", "-shm", "-journal")


def own_state(path: Path) -> dict[str, str]:
    """What this machine is to remember stays beside the register."""
    return {"XDG_STATE_HOME": str(path.parent / "state")}


def restored(path: Path, copy: Path) -> Restored:
    return put_restored(prepare_restore(path, copy), environ=own_state(path), now=NOW)


def add_client(path: Path, name: str) -> None:
    with open_register(path) as register, register.change("Sam") as change:
        change.put(Client(uid=change.new_uid(), name=name))


def assert_sound(path: Path) -> None:
    with open_register(path, create=False) as register:
        assert list(problems(register)) == []


@pytest.fixture
def site_register(tmp_path: Path) -> Path:
    path = tmp_path / "r.sqlite"
    add_client(path, "kept")
    return path


@pytest.fixture
def copy(site_register: Path, tmp_path: Path) -> Path:
    """A copy of it, after which one more client came in."""
    out = tmp_path / "copy.sqlite"
    with open_register(site_register) as register:
        write_backup(register, out)
    add_client(site_register, "later")
    return out


def test_thirty_crashed_registers_are_backed_up_and_restored_with_nothing_lost(tmp_path: Path) -> None:
    for path, confirmed in crash(tmp_path, 30).items():
        assert path.with_name(path.name + "-wal").stat().st_size > 0
        out = tmp_path / f"{path.stem}-copy"
        with open_register(path, create=False) as register:
            made = write_backup(register, out)
        assert made.problems == ()
        assert not any(Path(f"{out}{end}").exists() for end in BESIDE)
        assert out.stat().st_mode & 0o777 == 0o600
        path.unlink()
        restored(path, out)
        assert clients_in(path) == confirmed
        assert_sound(path)


def test_a_restore_over_a_left_wal_gives_the_copy_and_keeps_what_the_wal_held(tmp_path: Path) -> None:
    paths = [tmp_path / f"{number:03}.sqlite" for number in range(10)]
    bases = {}
    for path in paths:
        add_client(path, "first")
        bases[path] = Path(shutil.copy(path, tmp_path / f"{path.stem}-base"))
        path.unlink()
    for path, confirmed in crash(tmp_path, 10).items():
        assert path.with_name(path.name + "-wal").stat().st_size > 0
        done = restored(path, bases[path])
        assert clients_in(path) == {"first"}
        assert_sound(path)
        assert done.set_aside is not None
        assert clients_in(done.set_aside) == confirmed


def test_what_is_restored_works_like_any_register(site_register: Path, copy: Path) -> None:
    restored(site_register, copy)
    assert site_register.stat().st_mode & 0o777 == 0o600
    with closing(sqlite3.connect(site_register)) as connection:
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)
    add_client(site_register, "after")
    assert clients_in(site_register) == {"kept", "after"}
    assert_sound(site_register)


def test_what_the_copy_lacks_is_told_by_the_journal(tmp_path: Path) -> None:
    with worked_site(tmp_path) as site:
        made = keep_copy(site.register, settings=Settings(), now=NOW)
        item = site.kettle()
        site.record(item, combined(earth="0.52"))
        path = site.register.path
    prepared = prepare_restore(path, made.path)
    assert prepared.lacking is not None
    assert prepared.lacking.standing is Standing.EARLIER
    assert (prepared.lacking.items, prepared.lacking.inspections) == (1, 1)
    told = " ".join(lacking_sentences(prepared))
    assert f"after line {made.end.line}, 1 new item and 1 inspection among them" in told
    assert "by tester" in told
    assert "Missing would be HR-001 Kettle: added." in told
    assert "HR-001 Kettle: inspected 24 Nov 2026, fail." in told
    prepared.discard()
    assert not prepared.incoming.exists()


@pytest.mark.parametrize("day", ["2026-02-30", "'[red]'"])
def test_a_register_with_a_damaged_date_can_be_restored_over(tmp_path: Path, day: str) -> None:
    with worked_site(tmp_path) as site:
        made = keep_copy(site.register, settings=Settings(), now=NOW)
        site.record(site.kettle(), combined())
        path = site.register.path
    with closing(sqlite3.connect(path)) as raw, raw:
        raw.executescript("PRAGMA ignore_check_constraints = ON; DROP TRIGGER inspection_no_update")
        raw.execute("UPDATE inspection SET date = ?", (day,))
    prepared = prepare_restore(path, made.path)
    assert f"HR-001 Kettle: inspected {day}, pass." in " ".join(lacking_sentences(prepared))
    prepared.discard()


def test_a_copy_with_another_history_is_told_by_the_line_where_they_part(site_register: Path, tmp_path: Path) -> None:
    other = Path(shutil.copy(site_register, tmp_path / "other.sqlite"))
    for name in ("one", "two"):
        add_client(site_register, f"here {name}")
        add_client(other, f"there {name}")
    prepared = prepare_restore(site_register, other)
    assert prepared.lacking is not None
    assert prepared.lacking.standing is Standing.APART
    assert prepared.lacking.since == prepared.end.line - 2
    assert prepared.lacking.lines == 2
    assert "both went on differently" in lacking_sentences(prepared)[0]
    prepared.discard()


def test_what_is_stopped_before_it_is_checked_is_not_taken_for_sound(
    site_register: Path, copy: Path, tmp_path: Path
) -> None:
    with pytest.raises(Stopped, match=r"before its end .* nothing was kept or changed"):
        prepare_restore(site_register, copy, progress=lambda done, total: done * 2 < total)
    assert not [each for folder in (site_register.parent, tmp_path) for each in folder.glob(".*")]
    other = tmp_path / "other.sqlite"
    with open_register(site_register, create=False) as register:
        with pytest.raises(Stopped, match="nothing was kept or changed"):
            copy_register(register, other, progress=lambda done, total: done * 9 < total)
        with pytest.raises(Stopped, match="nothing was copied"):
            copy_register(register, other, progress=lambda done, total: done * 2 < total)
        assert not other.exists()
        with pytest.raises(Stopped, match=r"before the copy in .* was checked"):
            copy_register(register, other, progress=lambda done, total: done * 9 < total * 8)


def test_a_copy_whose_check_is_broken_off_is_said_to_be_unchecked(site_register: Path, tmp_path: Path) -> None:
    def broken_off(done: int, total: int) -> bool:
        if done * 9 >= total * 8:
            raise KeyboardInterrupt
        return True

    with (
        open_register(site_register, create=False) as register,
        pytest.raises(Stopped, match=r"before the copy in .* was checked: take it away"),
    ):
        copy_register(register, tmp_path / "other.sqlite", progress=broken_off)


def test_later_and_foreign_copies_are_told_apart(site_register: Path, copy: Path, tmp_path: Path) -> None:
    foreign = tmp_path / "foreign.sqlite"
    add_client(foreign, "elsewhere")
    expected = {site_register: Standing.LATER, foreign: Standing.FOREIGN, copy: Standing.SAME}
    for other, standing in expected.items():
        prepared = (
            prepare_restore(copy, other)
            if other != copy
            else prepare_restore(copy, Path(shutil.copy(copy, tmp_path / "same")))
        )
        assert prepared.lacking is not None
        assert prepared.lacking.standing is standing
        prepared.discard()


def test_no_damaged_foreign_newer_or_empty_file_is_restored(site_register: Path, copy: Path, tmp_path: Path) -> None:
    before = site_register.read_bytes()
    pages = bytearray(copy.read_bytes())
    place = pages.index(b"kept")
    pages[place : place + 4] = b"Kept"
    damaged, empty, text, newer, other = (tmp_path / name for name in ("d", "e", "t", "n", "o"))
    damaged.write_bytes(pages)
    empty.touch()
    text.write_text("no register\n" * 100)
    shutil.copy(copy, newer)
    with closing(sqlite3.connect(newer, isolation_level=None)) as connection:
        connection.execute("INSERT INTO migration (number, name, applied) VALUES (999, 'later', '2030')")
    with closing(sqlite3.connect(other)) as connection:
        connection.execute("CREATE TABLE notes (text)")
    for wrong in (damaged, empty, text, newer, other, tmp_path / "nothing", tmp_path):
        with pytest.raises(RegisterUnusable):
            prepare_restore(site_register, wrong)
    with pytest.raises(InputRefused, match="is the register itself"):
        prepare_restore(site_register, site_register)
    assert site_register.read_bytes() == before
    assert list(copies_folder(site_register).iterdir()) == []


_HOLDER = """
import sys
from pathlib import Path
from appreg.register.opening.register_file import open_register
register = open_register(Path(sys.argv[1]))
print("open", flush=True)
sys.stdin.read()
"""


def test_a_register_in_use_by_another_program_is_not_replaced(site_register: Path, copy: Path) -> None:
    holder = subprocess.Popen(
        [sys.executable, "-c", _HOLDER, str(site_register)], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    )
    assert holder.stdout is not None
    holder.stdout.readline()
    try:
        with pytest.raises(RegisterUnusable, match="in use by another program"):
            prepare_restore(site_register, copy)
        prepared = prepare_restore(site_register, copy, in_use_here=True)
        with pytest.raises(RegisterUnusable, match="in use by another program"):
            put_restored(prepared, environ=own_state(site_register), now=NOW)
    finally:
        holder.communicate()
    assert clients_in(site_register) == {"kept", "later"}
    restored(site_register, copy)
    assert clients_in(site_register) == {"kept"}


def test_a_register_that_another_connection_of_this_program_uses_is_not_replaced(
    site_register: Path, copy: Path
) -> None:
    with open_register(site_register):
        prepared = prepare_restore(site_register, copy, in_use_here=True)
        with pytest.raises(RegisterUnusable, match="in use"):
            put_restored(prepared, environ=own_state(site_register), now=NOW)
    assert clients_in(site_register) == {"kept", "later"}


def test_a_damaged_register_is_moved_aside_byte_for_byte_with_its_wal(site_register: Path, copy: Path) -> None:
    whole = site_register.read_bytes()
    site_register.write_bytes(whole[:4096] + random.Random(1).randbytes(len(whole) - 8192) + whole[-4096:])
    wal = site_register.with_name("r.sqlite-wal")
    wal.write_bytes(b"left from before" * 300)
    held = (site_register.read_bytes(), wal.read_bytes())
    prepared = prepare_restore(site_register, copy)
    assert prepared.lacking is None
    assert "cannot be read" in lacking_sentences(prepared)[0]
    done = put_restored(prepared, environ=own_state(site_register), now=NOW)
    assert done.set_aside is not None
    assert (done.set_aside.read_bytes(), done.set_aside.with_name(done.set_aside.name + "-wal").read_bytes()) == held
    assert not half_done_note(site_register).exists()
    assert clients_in(site_register) == {"kept"}
    assert_sound(site_register)


def test_a_wal_whose_register_is_gone_does_not_meet_the_copy(site_register: Path, copy: Path) -> None:
    site_register.unlink()
    site_register.with_name("r.sqlite-wal").write_bytes(b"left alone" * 500)
    done = restored(site_register, copy)
    assert done.set_aside is not None
    assert done.set_aside.with_name(done.set_aside.name + "-wal").read_bytes() == b"left alone" * 500
    assert clients_in(site_register) == {"kept"}
    assert_sound(site_register)


def test_where_no_second_names_are_known_it_goes_by_steps(
    site_register: Path, copy: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(replacing, "_second_name", lambda *_: False)
    done = restored(site_register, copy)
    assert done.set_aside is not None
    assert clients_in(done.set_aside) == {"kept", "later"}
    assert clients_in(site_register) == {"kept"}


def test_a_register_that_cannot_be_moved_stays(
    site_register: Path, copy: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    prepared = prepare_restore(site_register, copy)

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as broken:
        broken.setattr(Path, "replace", full)
        with pytest.raises(RegisterUnusable, match="stands as it was"):
            put_restored(prepared, environ=own_state(site_register), now=NOW)
    assert clients_in(site_register) == {"kept", "later"}
    assert list(copies_folder(site_register).iterdir()) == []


STEPS = {"os.link", "os.rename", "os.remove", "sqlite3.connect"}


def killed_at(step: int, path: Path, copy: Path) -> bool:
    """Restore in a process of its own that is killed before that step; False where it came to its end first."""
    child = os.fork()
    if child == 0:
        left = [step]

        def hook(event: str, _args: object) -> None:
            if event in STEPS:
                left[0] -= 1
                if left[0] < 0:
                    os.kill(os.getpid(), signal.SIGKILL)

        sys.addaudithook(hook)
        try:
            restored(path, copy)
        finally:
            os._exit(0)
    return os.WIFSIGNALED(os.waitpid(child, 0)[1])


def kills(tmp_path: Path, copy: Path, path: Path) -> Iterator[Path]:
    """The register after a restore killed at each step in turn, in a folder of its own."""
    step = 0
    while True:
        folder = tmp_path / f"step {step}"
        folder.mkdir()
        here = folder / path.name
        for end in ("", "-wal"):
            if (beside := path.with_name(path.name + end)).exists():
                shutil.copy(beside, folder / beside.name)
        if not killed_at(step, here, copy):
            break
        yield here
        step += 1
    assert step > 8


def aside_of(path: Path) -> list[Path]:
    named = [(each, read_name(each.name)) for each in copies_folder(path).iterdir()]
    return [each for each, name in named if name is not None and name.set_aside]


def test_killed_anywhere_in_a_restore_the_old_register_or_the_copy_stands_and_nothing_is_lost(
    tmp_path: Path, copy: Path, site_register: Path
) -> None:
    crashed = tmp_path / "crashed"
    crashed.mkdir()
    with open_register(site_register) as register:
        with register.change("Sam") as change:
            change.put(Client(uid=change.new_uid(), name="in the wal"))
        for end in ("", "-wal"):
            shutil.copy(f"{site_register}{end}", crashed / f"r.sqlite{end}")
    old, new = {"kept", "later", "in the wal"}, {"kept"}
    seen = []
    for path in kills(tmp_path, copy, crashed / "r.sqlite"):
        found = clients_in(path)
        assert found in (old, new)
        assert_sound(path)
        if found == new:
            assert [clients_in(each) for each in aside_of(path)] == [old]
        seen.append(found == new)
        assert not half_done_note(path).exists()
        restored(path, copy)
        assert clients_in(path) == new
    assert not seen[0]


def test_killed_anywhere_in_a_restore_over_a_damaged_register_its_bytes_are_kept(
    tmp_path: Path, copy: Path, site_register: Path
) -> None:
    crashed = tmp_path / "crashed"
    crashed.mkdir()
    whole = site_register.read_bytes()
    held = (whole[:4096] + b"\0" * (len(whole) - 4096), b"left from before" * 300)
    for end, content in zip(("", "-wal"), held, strict=True):
        (crashed / f"r.sqlite{end}").write_bytes(content)
    cut_short = 0
    for path in kills(tmp_path, copy, crashed / "r.sqlite"):
        if not path.exists():
            cut_short += 1
            with pytest.raises(RegisterUnusable, match="restore was cut short"):
                open_register(path)
            assert settle_restore(path)
        if path.read_bytes() == held[0]:
            assert path.with_name("r.sqlite-wal").read_bytes() == held[1]
        else:
            assert clients_in(path) == {"kept"}
            (aside,) = aside_of(path)
            assert (aside.read_bytes(), aside.with_name(f"{aside.name}-wal").read_bytes()) == held
        settle_restore(path)
        restored(path, copy)
        assert clients_in(path) == {"kept"}
    assert cut_short


def test_a_copy_is_named_by_path_by_its_name_or_as_the_latest(site_register: Path, copy: Path) -> None:
    with pytest.raises(NotFound, match="No copy"):
        named_copy(site_register, "latest")
    with open_register(site_register) as register:
        first = keep_copy(register, settings=Settings(), now=NOW)
        second = keep_copy(register, settings=Settings(), now=Instant(NOW + 60_000))
    assert named_copy(site_register, "latest") == second.path
    assert named_copy(site_register, first.path.name) == first.path
    assert named_copy(site_register, str(copy)) == copy


def test_a_register_behind_a_link_is_restored_where_it_stands(site_register: Path, copy: Path, tmp_path: Path) -> None:
    link = tmp_path / "link.sqlite"
    link.symlink_to(site_register)
    with open_register(link) as register:
        made = keep_copy(register, settings=Settings(), now=NOW)
    assert made.path.parent == copies_folder(site_register)
    assert named_copy(link, "latest") == made.path
    restored(link, copy)
    assert link.is_symlink()
    assert clients_in(site_register) == {"kept"}


def test_a_register_is_restored_into_a_folder_that_is_not_there_yet(copy: Path, tmp_path: Path) -> None:
    path = tmp_path / "new" / "machine" / "r.sqlite"
    assert restored(path, copy).set_aside is None
    assert clients_in(path) == {"kept"}
