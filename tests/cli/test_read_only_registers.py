"""Commands on registers that somebody to whom permissions apply may not write to, or not even read."""

import os
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from appreg.register.engine import read_only_copy  # as somebody else, Python's own files may not be readable
from appreg.register.opening.register_file import open_register
from appreg.tasks.records.add_client import add_client
from tests.cli.conftest import Call
from tests.tasks.worked_site import worked_site

_NOBODY = 65534
_WORDS = (("due", "--json"), ("verify",), ("find", "kettle"), ("show", "HR-001"), ("move", "HR-001", "returned"))


@contextmanager
def nobody() -> Iterator[None]:
    """Act as somebody who owns nothing."""
    groups = os.getgroups()
    os.setgroups([])
    os.setegid(_NOBODY)
    os.seteuid(_NOBODY)
    try:
        yield
    finally:
        os.seteuid(0)
        os.setegid(0)
        os.setgroups(groups)


@pytest.fixture
def path(tmp_path: Path, call: Call, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A register in a folder open to all, every command called once so that all it needs is loaded; skips where no one else can be played."""
    if not hasattr(os, "geteuid") or os.geteuid() != 0:
        pytest.skip("only root can become somebody else to whom permissions apply")
    assert read_only_copy
    for each in (tmp_path, *tmp_path.parents):
        if each.stat().st_mode & 0o005 != 0o005:
            if "pytest-of" not in str(each):
                pytest.skip(f"{each} is closed to others")
            each.chmod(0o755)
    monkeypatch.setenv("APPREG_SETTINGS", str(tmp_path / "settings.toml"))
    monkeypatch.setenv("APPREG_WHO", "tester")
    path = tmp_path / "folder" / "r.sqlite"
    path.parent.mkdir()
    with worked_site(tmp_path / "loading") as site:
        site.kettle()
        site.register.rows("PRAGMA wal_checkpoint")
        shutil.copyfile(site.register.path, path)
    for words in _WORDS:
        call("--register", site.register.path, *words)
    return path


def names_in(folder: Path) -> list[str]:
    return sorted(each.name for each in folder.iterdir())


@pytest.mark.parametrize(("folder_mode", "file_mode"), [(0o755, 0o644), (0o777, 0o444), (0o555, 0o666)])
def test_every_reading_command_works_where_nothing_may_be_written(
    folder_mode: int, file_mode: int, path: Path, call: Call
) -> None:
    path.chmod(file_mode)
    path.parent.chmod(folder_mode)
    with nobody():
        for words in _WORDS:
            answer = call("--register", path, *words)
            assert answer.code == (1 if "move" in words else 0), answer.err
            assert "Read only: " in answer.err
            assert ("nothing was saved" in answer.err) == ("move" in words)
            assert names_in(path.parent) == ["r.sqlite"]
    open_register(path, create=False).close()


def test_no_sheet_is_printed_whose_labels_cannot_be_marked(path: Path, call: Call, tmp_path: Path) -> None:
    path.chmod(0o444)
    (tmp_path / "out").mkdir(mode=0o777)
    (tmp_path / "out").chmod(0o777)
    with nobody():
        answer = call("--register", path, "print", "labels", "-o", tmp_path / "out" / "labels.pdf")
    assert answer.code == 1
    assert "nothing was saved" in answer.err
    assert names_in(tmp_path / "out") == []


def test_a_register_on_a_medium_that_takes_nothing_opens_to_be_read(path: Path, call: Call, tmp_path: Path) -> None:
    medium = tmp_path / "medium"
    medium.mkdir()
    mount, umount = shutil.which("mount") or "/bin/mount", shutil.which("umount") or "/bin/umount"
    mounted = subprocess.run(
        [mount, "-t", "tmpfs", "-o", "size=4m", "none", medium], check=False, capture_output=True, text=True
    )
    if mounted.returncode:
        pytest.skip(f"nothing can be mounted here: {mounted.stderr.strip()}")
    try:
        shutil.copyfile(path, medium / "r.sqlite")
        subprocess.run([mount, "-o", "remount,ro", medium], check=True)
        for words in _WORDS:
            answer = call("--register", medium / "r.sqlite", *words)
            assert answer.code == (1 if "move" in words else 0), answer.err
            assert "Read only: " in answer.err
        assert names_in(medium) == ["r.sqlite"]
    finally:
        subprocess.run([umount, medium], check=True)


def test_what_somebody_else_left_beside_it_keeps_nobody_from_reading(path: Path, call: Call, tmp_path: Path) -> None:
    crashed = tmp_path / "crashed" / "r.sqlite"
    crashed.parent.mkdir()
    with open_register(path, create=False) as register:
        add_client(register, "Sam", name="In the log alone")
        for end, mode in (("", 0o666), ("-wal", 0o644), ("-shm", 0o600)):
            shutil.copyfile(f"{path}{end}", f"{crashed}{end}")
            Path(f"{crashed}{end}").chmod(mode)
    crashed.parent.chmod(0o777)
    before = {each.name: each.read_bytes() for each in crashed.parent.iterdir()}
    with nobody():
        answer = call("--register", crashed, "verify")
    assert answer.code == 0, answer.err
    assert "Read only: " in answer.err
    Path(f"{crashed}-wal").chmod(0o600)
    with nobody():
        answer = call("--register", crashed, "due")
    assert answer.code == 1
    assert "Permission denied" in answer.err
    assert {each.name: each.read_bytes() for each in crashed.parent.iterdir()} == before


def test_what_may_not_even_be_read_is_said_in_a_sentence(path: Path, call: Call) -> None:
    path.chmod(0o600)
    with nobody():
        answer = call("--register", path, "due")
    assert (answer.code, answer.err.count("\n")) == (1, 1)
    assert "may not be read by you" in answer.err
    path.chmod(0o644)
    path.parent.chmod(0o700)
    with nobody():
        answer = call("--register", path, "due")
    assert (answer.code in {1, 2}, answer.err.count("\n")) == (True, 1)
    assert "Permission denied" in answer.err
