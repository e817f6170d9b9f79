"""Lines on a serial port: a pseudo-terminal stands for it, lost and put back."""

import os
import sys
import threading
import time
import tty
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Self

import pytest
import serial

from appreg.errors import InputRefused
from appreg.exchange.instrument_lines import InstrumentPort
from appreg.exchange.instrument_port import PortReader

pytestmark = pytest.mark.skipif(os.name != "posix", reason="pseudo-terminals are of POSIX")
_PATIENCE = 20.0


class Bench:
    """A reader in a thread, and what it gave."""

    def __init__(self, place: Path, port: InstrumentPort) -> None:
        self.lines: list[str] = []
        self.told: list[str] = []
        self._stop = threading.Event()
        stopped, took, told = self._stop.is_set, self.lines.append, self.told.append
        reader = PortReader(str(place), port, stopped=stopped, took=took, told=told, tries_every=0.05)
        self._thread = threading.Thread(target=reader.run)

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._stop.set()
        self._thread.join(_PATIENCE)
        assert not self._thread.is_alive()


def until(holds: Callable[[], bool]) -> None:
    end = time.monotonic() + _PATIENCE
    while not holds():
        assert time.monotonic() < end, "it never came"
        time.sleep(0.01)


@contextmanager
def plugged(place: Path) -> Iterator[int]:
    """A pseudo-terminal at a path; its other end."""
    instrument, port = os.openpty()
    tty.setraw(port)
    place.symlink_to(os.ttyname(port))
    os.close(port)
    try:
        yield instrument
    finally:
        place.unlink()
        os.close(instrument)


def read(bench: Bench, instrument: int, sent: bytes, last: str) -> list[str]:
    """Wait until the port is read, send something, and give what came of it up to its last line."""
    until(lambda: asks(bench, instrument))
    bench.lines.clear()
    os.write(instrument, sent)
    until(lambda: last in bench.lines)
    return [line for line in bench.lines if line != "ready"]


def asks(bench: Bench, instrument: int) -> bool:
    os.write(instrument, b"ready\r\n")
    time.sleep(0.05)
    return "ready" in bench.lines


def test_lines_come_whole_and_a_port_that_was_lost_is_gone_on_with(tmp_path: Path) -> None:
    place = tmp_path / "port"
    with Bench(place, InstrumentPort(encoding="cp1252")) as bench:
        until(lambda: len(bench.told) == 1)
        assert bench.told == [
            f"{place} gives nothing (No such file or directory); plug the instrument in: it is tried again by itself."
        ]
        with plugged(place) as instrument:
            hostile = b"\xff\x00[red]\r\n\r\n=1+1\n" + b"9" * 5000 + b"\r\n"
            sent = b"BOND 0,1" + b"2 \xb5\r" + hostile + b"last\n"
            assert read(bench, instrument, sent, "last") == ["BOND 0,12 µ", "ÿ\0[red]", "=1+1", "last"]
            assert bench.told[1] == f"{place} is there again."
            assert "sent a line of more than 800 bytes; nothing was taken." in bench.told[2]
        until(lambda: len(bench.told) == 4)
        assert "gives nothing" in bench.told[3]
        with plugged(place) as instrument:
            assert read(bench, instrument, b"R 1\n", "R 1") == ["R 1"]
            assert bench.told[4] == f"{place} is there again."


class _ScriptedPort:
    """A port whose readings come as they are told, whatever the time."""

    in_waiting = 0

    def __init__(self, *came: bytes) -> None:
        self._came = [*came]

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        pass

    def read(self, _size: int) -> bytes:
        return self._came.pop(0) if self._came else b""


@pytest.mark.parametrize(
    ("came", "lines"),
    [
        ((b"0.", b"12\r\n", b"R 1\n"), ["R 1"]),
        ((b"0.12\nR 1", b"\nR 2\n"), ["R 1", "R 2"]),
        ((b"", b"R 1\nR", b"", b" 2\r"), ["R 1", "R 2"]),
    ],
)
def test_the_end_of_a_line_that_was_under_way_when_the_port_was_opened_is_no_line(
    monkeypatch: pytest.MonkeyPatch, came: tuple[bytes, ...], lines: list[str]
) -> None:
    monkeypatch.setattr(serial, "Serial", lambda *_, **__: _ScriptedPort(*came))
    with Bench(Path("port"), InstrumentPort()) as bench:
        until(lambda: bench.lines == lines)


def test_what_is_no_port_is_told(tmp_path: Path) -> None:
    place = tmp_path / "file"
    place.write_text("0.12\n")
    with Bench(place, InstrumentPort()) as bench:
        until(lambda: bool(bench.told))
    assert "gives nothing" in bench.told[0]
    assert bench.lines == []
    assert place.read_text() == "0.12\n"


def test_without_the_extra_it_is_said_what_is_needed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "serial", None)
    reader = PortReader("COM3", InstrumentPort(), stopped=lambda: True, took=lambda _: None, told=lambda _: None)
    with pytest.raises(InputRefused, match=r"install appreg\[serial\]\.$"):
        reader.run()
