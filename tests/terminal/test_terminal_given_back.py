"""However the program ends, the terminal is as it was, and what was typed is kept."""

import re
import signal
import time
from pathlib import Path
from typing import Final

import pytest

from appreg.clock import local_today
from appreg.core.records.work_records import BenchDraft
from appreg.register.checking.checking import problems
from appreg.register.opening.register_file import open_register
from appreg.tasks.desk.confirm_cautions import confirm_cautions
from appreg.ui.screens.bench.bench_entries import LineId, entries_from_json
from tests.terminal_session import TerminalSession
from tests.ui.bench_register import KETTLE, WHO, lay_table

GIVEN_BACK: Final = {"1049": "l", "1000": "l", "1003": "l", "1006": "l", "2004": "l", "1004": "l", "25": "h", "7": "h"}
"""Private modes at the end: alternate screen, mouse, pastes, focus off; cursor and line wrap on (xterm, ECMA-48)."""
_MODE: Final = re.compile(rb"\x1b\[\?(\d+)([hl])")
EARTH: Final = LineId("earth-continuity")


@pytest.fixture(name="path")
def _path(tmp_path: Path) -> Path:
    path = tmp_path / "register.db"
    lay_table(path, ("Kettle", KETTLE), on=local_today()).register.close()
    assert confirm_cautions(path, WHO, local_today())
    return path


def last_modes(session: TerminalSession) -> dict[str, str]:
    modes = {name.decode(): set_to.decode() for name, set_to in _MODE.findall(bytes(session.raw))}
    return {name: modes[name] for name in GIVEN_BACK}


def kept_reading(path: Path) -> object:
    """What the half-filled bench holds as the earth reading; the register is sound."""
    with open_register(path) as register:
        assert list(problems(register)) == []
        (draft,) = register.find(BenchDraft)
    return entries_from_json(draft.body).typed.get(EARTH)


def to_the_bench(session: TerminalSession) -> None:
    session.wait_for("Harbour Row 14")
    session.press("v")
    session.wait_for("item 1 of 1")


@pytest.mark.parametrize(
    ("number", "code"),
    [(signal.SIGTERM, 143), (signal.SIGHUP, 129), (signal.SIGQUIT, 131), (signal.SIGINT, 130)],
    ids=["TERM", "HUP", "QUIT", "INT"],
)
def test_a_signal_gives_the_terminal_back_and_keeps_what_was_typed(
    path: Path, number: signal.Signals, code: int
) -> None:
    with TerminalSession(path, columns=90, lines=30, environ={"APPREG_WHO": WHO}) as session:
        before = session.modes()
        to_the_bench(session)
        assert session.modes() != before
        session.press("space", "0.0")
        session.wait_for(" 0.0 ")
        session.press("8")
        session.signal(number)
        assert session.ended() == code
        assert last_modes(session) == GIVEN_BACK
        assert session.modes() == before
        assert "Traceback" not in session.raw.decode(errors="replace")
    assert kept_reading(path) == "0.08"


def test_a_terminal_that_vanishes_ends_the_program_and_keeps_what_was_typed(path: Path) -> None:
    with TerminalSession(path, columns=90, lines=30, environ={"APPREG_WHO": WHO}) as session:
        to_the_bench(session)
        session.press("space", "0.08")
        session.wait_for(" 0.08 ")
        session.hang_up()
        end = time.monotonic() + 20
        while session.is_running():
            assert time.monotonic() < end
            time.sleep(0.05)
        assert session.code == 128 + signal.SIGHUP
    assert kept_reading(path) == "0.08"


def test_no_byte_no_size_and_no_stop_ends_it_where_nothing_is_set_up(path: Path) -> None:
    bare = {"APPREG_WHO": "Zo\udcfc", "LC_ALL": "POSIX", "LANG": "C", "PYTHONIOENCODING": "ascii"}
    with TerminalSession(path, columns=20, lines=5, environ=bare) as session:
        before = session.modes()
        session.wait_for("too small: 20 × 5")
        session.press("v", "x")
        session.resize(90, 30)
        session.wait_for("Before you start")
        assert "─────" in session.picture()
        session.press("y")
        to_the_bench(session)
        session.press("space", "0.0")
        session.wait_for(" 0.0 ")
        assert_survives_noise(session)
        session.press("ctrl+u", "0.0")
        session.wait_for(" 0.0 ")
        session.resize(20, 5)
        session.wait_for("too small: 20 × 5")
        session.press("7", "enter")
        session.settle(quiet=1.2)  # nothing tells that they were read; other screens are loaded meanwhile
        session.resize(90, 30)
        session.wait_for(" 0.0 ")
        assert_goes_on(session, signal.SIGSTOP)
        assert_goes_on(session, signal.SIGTSTP)
        session.press("8")
        session.wait_for(" 0.08 ")
        session.press("ctrl+q")
        assert session.ended() == 0
        assert last_modes(session) == GIVEN_BACK
        assert session.modes() == before
    assert kept_reading(path) == "0.08"


NOISE: Final = (
    b"\xc3",
    b"\x80\xff\xfe",
    b"\x00",
    b"\x1b[<99;",
    b"\x1b[99999999999u",
    b"\x1b[55296u",
    b"\x1b[<0;999999999999;1M",
    b"\x1b[48;99999;99999;1;1t",
    b"\x1b[48;0;0;0;0t",
    bytes(range(0x80, 0x100)),
)
"""Half a character, broken reports, a key that is no character, a mouse and sizes that cannot be."""


def assert_survives_noise(session: TerminalSession) -> None:
    session.write(b"\xfc")
    assert "0.0�" in session.wait_for("keyboard sent")
    for piece in NOISE:
        session.write(piece)
        session.settle(quiet=0.15)
    assert session.is_running()


def assert_goes_on(session: TerminalSession, number: signal.Signals) -> None:
    session.settle(quiet=0.3)
    session.signal(number)
    session.wait_until_stopped()
    session.settle(quiet=0.1)
    session.screen.reset()
    session.signal(signal.SIGCONT)
    session.wait_for(lambda picture: " 0.0 " in picture and last_modes(session)["1049"] == "h")


@pytest.mark.parametrize("term", ["dumb", ""])
def test_a_terminal_that_places_no_text_is_told_so(tmp_path: Path, term: str) -> None:
    path = tmp_path / "none.db"
    with TerminalSession(path, columns=80, lines=24, environ={"TERM": term}) as session:
        assert session.ended() == 2
        picture = session.picture()
    assert "`appreg due`" in picture.replace("\n", "")
    assert b"\x1b[" not in session.raw
    assert not path.exists()
