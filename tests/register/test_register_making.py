"""A register is made where nothing is, whole or not at all; what holds nothing is never taken for one."""

import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from appreg.core.records.kept_records import Category, Client
from appreg.errors import AppregError, InputRefused, RegisterKept, RegisterUnusable
from appreg.register.checking.checking import problems
from appreg.register.opening.register_file import Register, open_register
from appreg.register.opening.register_making import make_register, replace_register
from appreg.tasks.keeping.make_new_register import make_new_register
from tests.register.sample_register import CLIENT, build_register, ticking_clock

NOTHING = (
    b"", b"\0", b"x", b"SQLite format 3\0", b"\0" * 511, b"\0" * 512, b"\0" * 4096, b"\0" * 40960, b"\n" * 5000
)  # fmt: skip


@pytest.mark.parametrize("content", NOTHING, ids=lambda content: f"{len(content)}-{content[:1]!r}")
def test_what_holds_nothing_is_never_taken_for_a_new_register(content: bytes, tmp_path: Path) -> None:
    path = tmp_path / "r.appreg"
    path.write_bytes(content)
    for create in (True, False):
        with pytest.raises(RegisterUnusable, match=r"^[^\n]+\.$"):
            open_register(path, create=create)
    assert path.read_bytes() == content
    assert list(tmp_path.iterdir()) == [path]


def test_a_register_cut_short_anywhere_never_reads_as_an_empty_one(tmp_path: Path) -> None:
    path = tmp_path / "r.appreg"
    build_register(path).close()
    whole = path.read_bytes()
    for length in (
        1,
        100,
        511,
        512,
        1024,
        4095,
        4096,
        4097,
        8192,
        len(whole) // 2,
        len(whole) - 4096,
        len(whole) - 1024,
        len(whole) - 1,
    ):
        path.write_bytes(whole[:length])
        with pytest.raises(RegisterUnusable, match=r"^[^\n]+\.$"):
            open_register(path).close()
        assert path.read_bytes() == whole[:length]


def test_an_empty_database_is_no_register(tmp_path: Path) -> None:
    path = tmp_path / "r.appreg"
    raw = sqlite3.connect(path)
    raw.execute("PRAGMA journal_mode = WAL")
    raw.close()
    before = path.read_bytes()
    with pytest.raises(RegisterUnusable, match="empty database and no register"):
        open_register(path)
    assert path.read_bytes() == before


def test_a_register_whose_tables_are_gone_is_damaged_and_not_new(tmp_path: Path) -> None:
    path = tmp_path / "r.appreg"
    raw = sqlite3.connect(path)
    raw.execute(f"PRAGMA application_id = {0x41505247}")
    raw.close()
    with pytest.raises(RegisterUnusable, match="its tables are gone"):
        open_register(path)


def test_a_new_register_can_be_read_by_its_owner_alone_and_so_can_what_stands_beside_it(tmp_path: Path) -> None:
    path = tmp_path / "r.appreg"
    with build_register(path):
        modes = {each.name: oct(each.stat().st_mode & 0o777) for each in tmp_path.iterdir()}
    assert modes == {"r.appreg": "0o600", "r.appreg-wal": "0o600", "r.appreg-shm": "0o600"}


@pytest.mark.parametrize("end", ["-wal", "-shm", "-journal"])
def test_no_register_is_made_beside_what_an_earlier_one_left(end: str, tmp_path: Path) -> None:
    path = tmp_path / "r.appreg"
    left = tmp_path / f"r.appreg{end}"
    left.write_bytes(b"records, perhaps")
    for make in (open_register, make_register):
        with pytest.raises(RegisterUnusable, match=f"r.appreg{end} of an earlier one is"):
            make(path)
    assert left.read_bytes() == b"records, perhaps"
    assert list(tmp_path.iterdir()) == [left]


def test_a_register_is_made_only_where_nothing_is(tmp_path: Path) -> None:
    (tmp_path / "text").write_text("Dear Sir")
    (tmp_path / "link").symlink_to(tmp_path / "gone")
    (tmp_path / "folder").mkdir()
    build_register(tmp_path / "register").close()
    before = (tmp_path / "register").read_bytes()
    for name in ("text", "link", "folder", "register"):
        with pytest.raises(InputRefused, match=name):
            make_register(tmp_path / name)
    assert (tmp_path / "text").read_text() == "Dear Sir"
    assert (tmp_path / "register").read_bytes() == before
    assert not (tmp_path / "gone").exists()
    with pytest.raises(RegisterUnusable, match=r"is a link to .*gone, where nothing is"):
        open_register(tmp_path / "link")
    assert not (tmp_path / "gone").exists()


_MAKER = """
import os, signal, sqlite3, sys
from pathlib import Path
from appreg.tasks.keeping.make_new_register import make_new_register
left = int(sys.argv[2])
def tick(*_):
    global left
    left -= 1
    if left == 0:
        os.kill(os.getpid(), signal.SIGKILL)
connect = sqlite3.connect
def connected(*words, **names):
    connection = connect(*words, **names)
    connection.set_trace_callback(tick)
    return connection
sqlite3.connect = connected
for name in ("link", "fsync", "unlink"):
    real = getattr(os, name)
    setattr(os, name, lambda *words, real=real, **names: (tick(), real(*words, **names))[1])
make_new_register(Path(sys.argv[1]), "Sam")
"""


@pytest.mark.parametrize("step", [1, 8, 60, 150, 237, 290])
def test_one_killed_while_it_makes_a_register_leaves_none_or_a_whole_one(step: int, tmp_path: Path) -> None:
    path = tmp_path / "r.appreg"
    killed = subprocess.run([sys.executable, "-c", _MAKER, str(path), str(step)], check=False, capture_output=True)
    assert killed.returncode in {-9, 0}, killed.stderr
    if not path.exists():
        make_new_register(path, "Sam")
    with open_register(path) as register:
        assert len(register.find(Category)) >= 60
        assert list(problems(register)) == []


def test_two_that_make_the_same_register_get_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "r.appreg"
    quicker = build_register(tmp_path / "quicker")
    quicker.close()

    def beaten(_path: Path, **_: object) -> None:
        (tmp_path / "quicker").rename(path)
        raise InputRefused("there already.")

    monkeypatch.setattr("appreg.register.opening.file_making.make_file", beaten)
    with open_register(path) as register:
        assert register.get(Client, CLIENT.uid) == CLIENT


def _replace(path: Path, name: str) -> None:
    def fill(register: Register) -> None:
        with register.change("Sam") as change:
            change.put(Client(uid=change.new_uid(), name=name))

    replace_register(path, lambda _: None, clock=ticking_clock(), entropy=lambda bits: 1 << (bits - 2), fill=fill)


def test_a_register_that_is_open_elsewhere_is_not_replaced(tmp_path: Path) -> None:
    path = tmp_path / "r.appreg"
    with build_register(path) as register:
        with pytest.raises(RegisterKept, match="open in another window"):
            _replace(path, "new")
        with register.change("Ann") as change:
            change.put(Client(uid=change.new_uid(), name="saved"))
    with open_register(path) as again:
        assert len(again.find(Client, name="saved")) == 1
        assert again.rows("PRAGMA journal_mode") == [("wal",)]
        assert list(problems(again)) == []
    _replace(path, "new")
    with open_register(path) as again:
        assert [each.name for each in again.find(Client)] == ["new"]
        assert list(problems(again)) == []
    assert [each.name for each in tmp_path.iterdir()] == ["r.appreg"]


def test_a_refusal_leaves_the_register_as_it_was(tmp_path: Path) -> None:
    path = tmp_path / "r.appreg"
    build_register(path).close()
    before = path.read_bytes()

    def refuse(_register: Register) -> None:
        raise InputRefused("not this one.")

    with pytest.raises(AppregError, match="not this one"):
        replace_register(path, refuse, clock=ticking_clock(), entropy=lambda bits: 1 << (bits - 2), fill=refuse)
    assert path.read_bytes() == before
    assert list(tmp_path.iterdir()) == [path]
