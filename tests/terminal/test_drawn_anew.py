"""What another program wrote over the terminal is put right by a key, by any size that is told, and by going on."""

import signal
from pathlib import Path

from appreg.clock import local_today
from appreg.tasks.desk.confirm_cautions import confirm_cautions
from tests.terminal_session import TerminalSession
from tests.ui.bench_register import KETTLE, WHO, lay_table

WRITTEN_OVER = "\x1b[3;1Hline over everything\x1b[4;9r\x1b[9;1H\n\n\n\x1b[7m\x1b[6;6Hand in the middle\x1b[4h"
"""A message with its own lines that scroll, reversed letters, and letters that push others aside (ECMA-48)."""


def rested(session: TerminalSession) -> str:
    """The picture once nothing more comes."""
    session.settle(quiet=0.3)
    return session.picture()


def test_the_whole_screen_is_drawn_anew(tmp_path: Path) -> None:
    path = tmp_path / "register.db"
    lay_table(path, ("Kettle", KETTLE), on=local_today()).register.close()
    assert confirm_cautions(path, WHO, local_today())
    with TerminalSession(path, columns=80, lines=24, environ={"APPREG_WHO": WHO}) as session:
        session.wait_for("Harbour Row 14")
        assert_put_right(session)
        session.press("v")
        session.wait_for("item 1 of 1")
        session.press("space", "0.0")
        session.wait_for(" 0.0 ")
        assert_put_right(session)
        session.press("ctrl+g", "k")
        session.wait_for("found")
        assert_put_right(session)
        before = rested(session)
        session.screen.reset()
        session.signal(signal.SIGWINCH)
        session.wait_for(before)
        session.resize(50, 12)
        session.resize(80, 24)
        session.wait_for(before)
        session.screen.reset()
        session.signal(signal.SIGCONT)
        session.wait_for(before)


def assert_put_right(session: TerminalSession) -> None:
    before = rested(session)
    session.overwrite(WRITTEN_OVER)
    assert "line over everything" in session.picture()
    assert session.picture() != before
    session.press("f12")
    session.wait_for(before)
