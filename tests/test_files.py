import os
import socket
import sqlite3
import stat
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from appreg.errors import InputRefused
from appreg.files import BESIDE, placed, refuse_place, write_whole
from appreg.left_drafts import draft_beside


@pytest.fixture
def database(tmp_path: Path) -> Iterator[Path]:
    """An open database in WAL mode, whose last change stands in its log alone."""
    path = tmp_path / "kept.sqlite"
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("PRAGMA journal_mode=WAL")
    connection.execute("CREATE TABLE t (x)")
    connection.execute("INSERT INTO t VALUES (1)")
    yield path
    connection.close()


def contents(folder: Path) -> dict[str, bytes]:
    return {each.name: each.read_bytes() for each in folder.iterdir() if each.is_file() and not each.is_symlink()}


def test_a_file_is_written_where_nothing_is_and_no_draft_stays(tmp_path: Path) -> None:
    write_whole(tmp_path / "new.pdf", b"whole")
    assert contents(tmp_path) == {"new.pdf": b"whole"}


def test_a_file_that_is_there_gives_way_only_where_that_is_said(tmp_path: Path) -> None:
    out = tmp_path / "kept.pdf"
    out.write_bytes(b"before")
    with pytest.raises(InputRefused, match="is there already"):
        write_whole(out, b"after")
    assert out.read_bytes() == b"before"
    write_whole(out, b"after", replace=True)
    assert contents(tmp_path) == {"kept.pdf": b"after"}


def test_a_file_that_gives_way_hands_on_its_permissions(tmp_path: Path) -> None:
    out = tmp_path / "private.toml"
    out.write_bytes(b"before")
    out.chmod(0o600)
    write_whole(out, b"after", replace=True)
    assert stat.S_IMODE(out.stat().st_mode) == 0o600


def test_a_write_protected_file_never_gives_way(tmp_path: Path) -> None:
    out = tmp_path / "protected.pdf"
    out.write_bytes(b"before")
    out.chmod(0o444)
    with pytest.raises(InputRefused, match="write-protected"):
        write_whole(out, b"after", replace=True)
    assert out.read_bytes() == b"before"


@pytest.mark.parametrize("end", ["", *BESIDE])
@pytest.mark.parametrize("replace", [False, True])
def test_nothing_is_written_over_an_open_register_or_beside_it(database: Path, end: str, *, replace: bool) -> None:
    before = contents(database.parent)
    with pytest.raises(InputRefused, match="register"):
        write_whole(database.with_name(database.name + end), b"%PDF", replace=replace)
    assert contents(database.parent) == before


def test_another_spelling_or_a_hard_link_is_the_same_register(database: Path) -> None:
    folder = database.parent
    (folder / "deeper").mkdir()
    (folder / "way").symlink_to(folder, target_is_directory=True)
    os.link(database, folder / "second.pdf")
    os.link(folder / "kept.sqlite-wal", folder / "third.pdf")
    before = contents(folder)
    for out in (
        folder / "deeper" / ".." / database.name,
        folder / "way" / database.name,
        folder / "second.pdf",
        folder / "third.pdf",
        folder / "way" / "kept.sqlite-WAL",
    ):
        with pytest.raises(InputRefused, match="register"):
            write_whole(out, b"%PDF", replace=True)
    assert contents(folder) == before


def test_the_place_of_a_register_whose_log_was_left_is_not_taken(database: Path, tmp_path: Path) -> None:
    folder = tmp_path / "left"
    folder.mkdir()
    (folder / "r.sqlite-wal").write_bytes(database.with_name("kept.sqlite-wal").read_bytes())
    for replace in (False, True):
        with pytest.raises(InputRefused, match=r"whose r\.sqlite-wal is still there"):
            write_whole(folder / "r.sqlite", b"%PDF", replace=replace)
        with pytest.raises(InputRefused):
            write_whole(folder / "r.sqlite-wal", b"%PDF", replace=replace)


@pytest.mark.parametrize("replace", [False, True])
def test_nothing_but_a_regular_file_is_ever_written_over(tmp_path: Path, *, replace: bool) -> None:
    (tmp_path / "target").write_bytes(b"kept")
    (tmp_path / "link").symlink_to("target")
    (tmp_path / "dangling").symlink_to("nowhere")
    (tmp_path / "round").symlink_to("round")
    (tmp_path / "folder").mkdir()
    os.mkfifo(tmp_path / "pipe")
    with socket.socket(socket.AF_UNIX) as listening:
        listening.bind(str(tmp_path / "socket"))
    kinds = {"link": "a link", "dangling": "a link", "round": "a link", "folder": "a folder", "pipe": "a pipe"}
    for name, words in {**kinds, "socket": "a socket"}.items():
        kind = stat.S_IFMT((tmp_path / name).lstat().st_mode)
        with pytest.raises(InputRefused, match=words):
            write_whole(tmp_path / name, b"%PDF", replace=replace)
        assert stat.S_IFMT((tmp_path / name).lstat().st_mode) == kind
    assert contents(tmp_path) == {"target": b"kept"}


def test_a_device_is_never_written_over(tmp_path: Path) -> None:
    node = tmp_path / "node"
    try:
        os.mknod(node, stat.S_IFCHR | 0o600, os.makedev(1, 3))
    except OSError:
        pytest.skip("no device can be made here")
    with pytest.raises(InputRefused, match="a device"):
        write_whole(node, b"%PDF", replace=True)
    assert stat.S_ISCHR(node.lstat().st_mode)


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("", "is a folder"),
        (".", "is a folder"),
        ("/", "is a folder"),
        ("..", "is a folder"),
        ("missing/x.pdf", "no folder missing"),
        ("plain/x.pdf", "Not a directory|no folder"),
        ("x" * 300, "cannot be a file"),
        ("a\0b", "no file name can have"),
        ("half \ud800", "no file name can have"),
    ],
)
def test_a_place_that_is_none_is_told_in_a_sentence(
    name: str, words: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("plain").write_bytes(b"kept")
    with pytest.raises(InputRefused, match=words):
        write_whole(Path(name), b"%PDF", replace=True)
    assert contents(tmp_path) == {"plain": b"kept"}


@pytest.mark.parametrize(
    "name", ["x" * 251 + ".pdf", "ж" * 125 + ".pdf", "\U00020000" * 62 + ".pdf", "a\nb", "\udcff.pdf"]
)
def test_the_longest_and_oddest_names_that_can_be_are_taken(name: str, tmp_path: Path) -> None:
    try:
        (tmp_path / name).touch()
    except OSError:
        pytest.skip("this file system has no such name")
    write_whole(tmp_path / name, b"whole", replace=True)
    assert contents(tmp_path) == {name: b"whole"}


def test_a_failure_in_the_middle_leaves_what_was_there_and_no_draft(tmp_path: Path) -> None:
    out = tmp_path / "kept.pdf"
    out.write_bytes(b"before")

    def fail() -> None:
        with placed(out, replace=True) as draft:
            draft.write_bytes(b"half")
            draft.with_name(draft.name + "-journal").write_bytes(b"half")
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        fail()
    assert contents(tmp_path) == {"kept.pdf": b"before"}


def overtaken(out: Path, theirs: bytes, *, replace: bool = False) -> None:
    """Write a file while another program puts its own in the same place."""
    with placed(out, replace=replace) as draft:
        draft.write_bytes(b"ours")
        out.write_bytes(theirs)


def test_what_comes_to_stand_there_while_writing_is_not_overwritten(tmp_path: Path, database: Path) -> None:
    out = tmp_path / "late.pdf"
    with pytest.raises(InputRefused, match="is there already"):
        overtaken(out, b"theirs")
    assert out.read_bytes() == b"theirs"
    register = database.read_bytes()
    with pytest.raises(InputRefused, match="register"):
        overtaken(out, register, replace=True)
    assert out.read_bytes() == register


def test_where_no_hard_link_can_be_a_file_is_put_in_place_all_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(*_: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", refused)
    write_whole(tmp_path / "new.pdf", b"whole")
    with pytest.raises(InputRefused, match="is there already"):
        overtaken(tmp_path / "late.pdf", b"theirs")
    assert contents(tmp_path) == {"new.pdf": b"whole", "late.pdf": b"theirs"}


def test_file_and_folder_are_put_onto_the_disk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    synced = []
    monkeypatch.setattr(os, "fsync", lambda handle: synced.append(stat.S_IFMT(os.fstat(handle).st_mode)))
    write_whole(tmp_path / "new.pdf", b"whole")
    assert synced == [stat.S_IFREG, stat.S_IFDIR]


def test_the_draft_of_a_writer_that_was_killed_goes_with_the_next_file(tmp_path: Path) -> None:
    killed = (
        "import os, sys; from pathlib import Path; from appreg.files import placed\n"
        "with placed(Path(sys.argv[1])) as draft: draft.write_bytes(b'half'); os.kill(os.getpid(), 9)"
    )
    subprocess.run([sys.executable, "-c", killed, tmp_path / "lost.pdf"], check=False)
    assert [each.name[:8] for each in tmp_path.iterdir()] == [".appreg-"]
    write_whole(tmp_path / "next.pdf", b"whole")
    assert contents(tmp_path) == {"next.pdf": b"whole"}


def test_the_draft_of_a_writer_at_work_stays_as_does_that_of_another_machine_for_a_day(tmp_path: Path) -> None:
    with placed(tmp_path / "slow.pdf") as slow:
        other = tmp_path / ".appreg-00000000-1-00000000-theirs.pdf"
        other.touch()
        write_whole(tmp_path / "quick.pdf", b"whole")
        assert slow.is_file()
        assert other.is_file()
        long_ago = time.time() - 100_000
        os.utime(other, (long_ago, long_ago))
        write_whole(tmp_path / "next.pdf", b"whole")
        assert not other.exists()


def test_a_draft_is_named_within_what_a_file_system_can_hold(tmp_path: Path) -> None:
    for letter in "xж\U00020000":
        assert len(draft_beside(tmp_path / (letter * 60)).name.encode()) <= 255 - len("-journal")


@pytest.mark.parametrize("name", ["nul", "CON.pdf", "com1.txt", "LPT¹", "a.pdf:hidden", "ends. "])
def test_names_that_windows_keeps_for_itself_are_refused_there(name: str, tmp_path: Path) -> None:
    with pytest.raises(InputRefused, match="no name for a file"):
        refuse_place(tmp_path / name, platform="win32")
    refuse_place(tmp_path / name, platform="linux")
