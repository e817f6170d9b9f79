import os
import socket
import stat
import threading
import time
from pathlib import Path

import pytest

from appreg.errors import InputRefused
from appreg.given_files import read_bytes, read_text


def text_of(path: Path, most_bytes: int = 1000) -> str:
    return read_text(path, what="holidays", most_bytes=most_bytes)


def test_text_is_read_with_or_without_a_mark_and_with_any_line_ends(tmp_path: Path) -> None:
    path = tmp_path / "given.txt"
    path.write_bytes("\ufeffone\r\ntwo\rthree\nµ".encode())
    assert text_of(path) == "one\ntwo\nthree\nµ"


def test_a_file_as_long_as_may_be_is_read_and_a_longer_one_refused(tmp_path: Path) -> None:
    path = tmp_path / "given.txt"
    path.write_bytes(b"x" * 2000)
    assert len(text_of(path, 2000)) == 2000
    with pytest.raises(InputRefused, match=r"given\.txt is longer than 1 kB, too long for holidays; check"):
        text_of(path, 1999)


@pytest.mark.parametrize(
    ("content", "words"), [(b"\xff\xfe2\x00", "not UTF-8"), (b"a\xed\xa0\x80", "not UTF-8"), (b"a\0b", "zero bytes")]
)
def test_what_is_no_text_is_refused(tmp_path: Path, content: bytes, words: str) -> None:
    path = tmp_path / "given.txt"
    path.write_bytes(content)
    with pytest.raises(InputRefused, match=words):
        text_of(path)
    assert read_bytes(path, what="holidays", most_bytes=10) == content


@pytest.mark.parametrize("name", ["", "missing", "x" * 300, "a\0b", "half \ud800", "round", "plain/x"])
def test_a_path_that_leads_to_no_file_is_refused(tmp_path: Path, name: str) -> None:
    (tmp_path / "round").symlink_to("round")
    (tmp_path / "plain").touch()
    with pytest.raises(InputRefused, match=r"\.$"):
        text_of(tmp_path / name)


def test_what_is_no_file_is_refused_at_once(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    began = time.monotonic()
    with pytest.raises(InputRefused, match="a pipe that gives nothing"):
        text_of(tmp_path / "pipe")
    with socket.socket(socket.AF_UNIX) as listening:
        listening.bind(str(tmp_path / "socket"))
        with pytest.raises(InputRefused, match="is a socket; name a file"):
            text_of(tmp_path / "socket")
    assert time.monotonic() - began < 1


def test_a_device_is_refused_unopened(tmp_path: Path) -> None:
    node = tmp_path / "endless"
    try:
        os.mknod(node, stat.S_IFCHR | 0o600, os.makedev(1, 5))
    except OSError:
        pytest.skip("no device can be made here")
    with pytest.raises(InputRefused, match="is a device; name a file"):
        text_of(node)


def test_a_pipe_is_read_to_its_end_or_to_the_limit(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    # Open for both, so that neither side waits for the other.
    held = os.open(pipe, os.O_RDWR | os.O_NONBLOCK)
    os.write(held, b"2026-12-25\n")
    let_go = threading.Timer(0.05, os.close, [held])
    let_go.start()
    assert text_of(pipe) == "2026-12-25\n"
    let_go.join()
    held = os.open(pipe, os.O_RDWR | os.O_NONBLOCK)
    os.write(held, b"x" * 2000)
    with pytest.raises(InputRefused, match="longer than 1 kB"):
        text_of(pipe)
    os.close(held)
