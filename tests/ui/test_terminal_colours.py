"""On a real pseudo-terminal: sixteen colours where there are no more, and the settings at the start."""

import re
import time
from pathlib import Path

import pytest

from appreg.register.engine.places import Place
from appreg.tasks.desk.confirm_cautions import confirm_cautions
from appreg.tasks.desk.keep_settings import Settings, load_settings, save_settings
from tests.postgres_server import place_for
from tests.terminal_session import TerminalSession
from tests.ui.list_register import TODAY, build_register

RICH_COLOUR = re.compile(rb"\x1b\[[0-9;]*[34]8;[25];")
"""ECMA-48 SGR 38 and 48: a colour beyond the sixteen."""
SIXTEEN = re.compile(rb"\x1b\[(?:[0-9;]*;)?(?:3[0-7]|4[0-7]|9[0-7]|10[0-7])[;m]")
WHO = "tester"


@pytest.fixture(name="path")
def _path(tmp_path: Path) -> Place:
    path = tmp_path / "register.sqlite"
    build_register(path).close()
    return place_for(path)


def session(path: Place, settings: Path, **environ: str) -> TerminalSession:
    named = {"APPREG_SETTINGS": str(settings), "APPREG_WHO": WHO, "COLORTERM": "", **environ}
    confirm_cautions(settings, WHO, TODAY, named)
    return TerminalSession(path, columns=80, lines=24, environ=named)


def leave(terminal: TerminalSession) -> None:
    terminal.press("ctrl+q")
    end = time.monotonic() + 20
    while terminal.is_running() and time.monotonic() < end:
        terminal.settle(quiet=0.05, longest=1)
    assert not terminal.is_running()
    assert terminal._code == 0


@pytest.mark.parametrize("term", ["xterm-16color", "xterm", "linux", "vt220"])
def test_a_terminal_of_sixteen_colours_is_sent_no_others(path: Place, tmp_path: Path, term: str) -> None:
    with session(path, tmp_path / "settings.toml", TERM=term) as terminal:
        terminal.wait_for("Kiln Lane pottery")
        leave(terminal)
        assert SIXTEEN.search(terminal.raw)
        assert not RICH_COLOUR.search(terminal.raw)


def test_plain_colours_are_kept_to_on_a_terminal_with_more(path: Place, tmp_path: Path) -> None:
    settings = tmp_path / "settings.toml"
    save_settings(settings, Settings(plain_colours=True))
    with session(path, settings, TERM="xterm-256color", COLORTERM="truecolor") as terminal:
        terminal.wait_for("Kiln Lane pottery")
        leave(terminal)
        assert not RICH_COLOUR.search(terminal.raw)


def test_over_a_line_that_knows_256_colours_it_works_as_well(path: Place, tmp_path: Path) -> None:
    with session(path, tmp_path / "settings.toml", TERM="xterm-256color") as terminal:
        terminal.wait_for("Kiln Lane pottery")
        leave(terminal)
        assert RICH_COLOUR.search(terminal.raw)
        assert b"8;2;" not in terminal.raw


def test_what_is_set_is_kept_for_the_next_start(path: Place, tmp_path: Path) -> None:
    settings = tmp_path / "own" / "settings.toml"
    with session(path, settings, TERM="xterm-256color") as terminal:
        terminal.wait_for("Kiln Lane pottery")
        terminal.press("f9")
        terminal.wait_for("plain colours")
        terminal.press("enter")
        terminal.settle()
        leave(terminal)
    assert load_settings(settings) == Settings(theme="light")


def test_a_bad_file_is_told_in_one_sentence_and_left_alone(path: Place, tmp_path: Path) -> None:
    settings = tmp_path / "settings.toml"
    settings.write_text('# mine\ntheme = "pink"\n')
    with session(path, settings, TERM="xterm-256color") as terminal:
        terminal.wait_for("settings.toml, line 2, theme:")
        terminal.press("f9")
        terminal.wait_for("they hold until you leave")
        terminal.press("enter")
        terminal.settle()
        leave(terminal)
    assert settings.read_text() == '# mine\ntheme = "pink"\n'
