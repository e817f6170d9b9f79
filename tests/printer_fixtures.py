"""A real CUPS, and programs that stand in for its own where it is to refuse."""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Final

import pytest

from tests.print_server import PrintServer, why_no_print_server

StandIn = Callable[..., Path]
ONE_QUEUE: Final = "no system default destination\nOffice\nprinter Office is idle.  enabled since today\n"
"""What `lpstat -d -e -p -a` of CUPS 2.4 says of one queue that prints."""


@pytest.fixture(scope="session")
def _cups() -> Iterator[PrintServer]:
    if reason := why_no_print_server():
        pytest.skip(reason)
    running = PrintServer()
    yield running
    running.remove()


@pytest.fixture
def cups(_cups: PrintServer, monkeypatch: pytest.MonkeyPatch) -> PrintServer:
    """One CUPS for all tests of a process, started by the first that needs it."""
    monkeypatch.setenv("CUPS_SERVER", _cups.address)
    return _cups


@pytest.fixture
def stand_in(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> StandIn:
    """Puts a program of a name first in PATH that says and does what it is told; returns where its words are noted."""
    folder = tmp_path / "programs"
    folder.mkdir()
    monkeypatch.setenv("PATH", f"{folder}:/usr/bin:/bin")

    def put(name: str, *, answer: str = "", complaint: str = "", code: int = 0, first: str = "") -> Path:
        noted = folder / f"{name}.words"
        for what, text in (("answer", answer), ("complaint", complaint)):
            (folder / f"{name}.{what}").write_text(text, encoding="utf-8")
        program = folder / name
        program.write_text(
            f'#!/bin/sh\nprintf "%s\\n" "$@" >{noted}\n{first}\n'
            f"cat {folder}/{name}.answer\ncat {folder}/{name}.complaint >&2\nexit {code}\n"
        )
        program.chmod(0o755)
        return noted

    put("lpstat", answer=ONE_QUEUE)
    put("lp", answer="request id is Office-7 (1 file(s))\n")
    return put
