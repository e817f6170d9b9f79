"""A disk that takes no more: the first cause is told, nothing that was confirmed is lost, and with room work goes on."""

import resource
import shutil
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from appreg.core.records.kept_records import Client
from appreg.errors import AppregError, RegisterUnusable
from appreg.register.checking.checking import problems
from appreg.register.engine.register_errors import told
from appreg.register.opening.register_file import Register, open_register
from appreg.tasks.keeping.make_new_register import make_new_register
from tests.register.sample_register import build_register

if sys.platform == "win32":
    pytest.skip("file sizes are limited through POSIX setrlimit()", allow_module_level=True)


@contextmanager
def files_no_longer_than(size: int) -> Iterator[None]:
    """Let no file of this process grow beyond a size, as on a full disk."""
    before = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
        signal.signal(signal.SIGXFSZ, before)


def save(register: Register, name: str, times: int = 1) -> None:
    with register.change("Sam") as change:
        change.put_many(Client(uid=change.new_uid(), name=name, notes="n" * 500) for _ in range(times))


def refusal_of_saving(register: Register, name: str, times: int) -> str:
    try:
        save(register, name, times)
    except RegisterUnusable as refusal:
        return str(refusal)
    return ""


def refusal_of_making(path: Path) -> str:
    try:
        make_new_register(path, "Sam")
    except AppregError as refusal:
        return str(refusal)
    return ""


@pytest.mark.parametrize("times", [1, 400, 5000])
def test_a_full_disk_is_said_and_the_same_open_register_goes_on_once_there_is_room(times: int, tmp_path: Path) -> None:
    path = tmp_path / "r.appreg"
    build_register(path).close()
    with open_register(path) as register:
        refused = 0
        for turn, size in enumerate((10_000, 70_000, 120_000, 260_000, path.stat().st_size)):
            with files_no_longer_than(size):
                refusal = refusal_of_saving(register, f"{turn}", times)
            if refusal:
                refused += 1
                assert "took nothing more" in refusal
                assert "SQLITE_IOERR" in refusal or "no room left" in refusal
                assert "restore" not in refusal
                assert refusal.endswith(".")
            assert len(register.find(Client, name=f"{turn}")) == (0 if refusal else times)
            save(register, f"{turn} with room")
        assert refused
    with open_register(path) as again:
        assert len(again.find(Client)) == 1 + 5 + (5 - refused) * times
        assert list(problems(again)) == []


@pytest.mark.parametrize("size", [0, 1000, 20_000, 60_000, 150_000, 300_000])
def test_a_register_that_finds_no_room_is_not_made_and_leaves_nothing(size: int, tmp_path: Path) -> None:
    path = tmp_path / "r.appreg"
    with files_no_longer_than(size):
        refusal = refusal_of_making(path)
    assert "restore" not in refusal
    if refusal:
        assert list(tmp_path.iterdir()) == []
        return
    assert size >= 150_000
    with open_register(path) as register:
        assert list(problems(register)) == []


_FILLER = """
import sys
from pathlib import Path
from appreg.core.records.kept_records import Client
from appreg.errors import RegisterUnusable
from appreg.register.opening.register_file import open_register
path, filler = Path(sys.argv[1]), Path(sys.argv[2])
with open_register(path) as register:
    def save(name):
        with register.change("Sam") as change:
            change.put(Client(uid=change.new_uid(), name=name, notes="n" * 2000))
    with filler.open("wb", buffering=0) as file:
        try:
            while file.write(b"x" * 4096):
                pass
        except OSError:
            pass
    saved = 0
    try:
        while saved < 500:
            save(f"full {saved}")
            saved += 1
    except RegisterUnusable as refusal:
        print(refusal)
    filler.unlink()
    save("room again")
    print(saved)
"""


def test_a_full_file_system_is_said_and_loses_nothing(tmp_path: Path) -> None:
    disk = tmp_path / "disk"
    disk.mkdir()
    mounted = subprocess.run(
        [shutil.which("mount") or "/bin/mount", "-t", "tmpfs", "-o", "size=2m", "none", str(disk)],
        check=False,
        capture_output=True,
        text=True,
    )
    if mounted.returncode:
        pytest.skip(f"no small file system can be mounted here: {mounted.stderr.strip()}")
    try:
        path = disk / "r.appreg"
        build_register(path).close()
        answer = subprocess.run(
            [sys.executable, "-c", _FILLER, str(path), str(disk / "filler")], check=True, capture_output=True, text=True
        )
        refusal, saved = answer.stdout.splitlines()
        assert "no room left on the disk" in refusal
        with open_register(path) as register:
            assert {f"full {number}" for number in range(int(saved))} | {"room again"} <= {
                each.name for each in register.find(Client)
            }
            assert list(problems(register)) == []
    finally:
        subprocess.run([shutil.which("umount") or "/bin/umount", str(disk)], check=True)


CODES = {
    "SQLITE_FULL": "no room left",
    "SQLITE_IOERR_WRITE": "took nothing more",
    "SQLITE_IOERR_FSYNC": "took nothing more",
    "SQLITE_IOERR_SHMSIZE": "took nothing more",
    "SQLITE_IOERR_READ": "did not give what it holds",
    "SQLITE_IOERR_SHORT_READ": "did not give what it holds",
    "SQLITE_READONLY": "may not be written to",
    "SQLITE_READONLY_DIRECTORY": "may not be written to",
    "SQLITE_READONLY_DBMOVED": "was moved or removed",
    "SQLITE_CANTOPEN": "cannot be opened",
    "SQLITE_CANTOPEN_ISDIR": "cannot be opened",
    "SQLITE_BUSY": "in use by another program",
    "SQLITE_BUSY_SNAPSHOT": "in use by another program",
    "SQLITE_LOCKED": "in use by another program",
    "SQLITE_PROTOCOL": "in use by another program",
    "SQLITE_PERM": "may not be read",
    "SQLITE_INTERRUPT": "was stopped",
    "SQLITE_TOOBIG": "too long",
    "SQLITE_CORRUPT": "is damaged",
    "SQLITE_CORRUPT_INDEX": "is damaged",
    "SQLITE_NOTADB": "is not a register",
}
"""Codes by name (https://www.sqlite.org/rescode.html, published)."""


@pytest.mark.parametrize(("name", "said"), CODES.items())
def test_each_code_of_sqlite_has_its_sentence_whatever_its_words_are(name: str, said: str, tmp_path: Path) -> None:
    error = sqlite3.OperationalError("words in which full, locked and readonly mean nothing")
    error.sqlite_errorcode = getattr(sqlite3, name)
    error.sqlite_errorname = name
    sentence = str(told(tmp_path / "r.appreg", error))
    assert said in sentence
    assert sentence.endswith(".")
    assert ("`appreg restore` puts" in sentence) == (said == "is damaged")
