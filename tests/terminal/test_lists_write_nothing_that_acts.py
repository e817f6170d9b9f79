"""Two hundred hostile names on the lists of a real terminal: every byte that goes out only draws, and nothing is done."""

from functools import partial
from pathlib import Path
from typing import Final

from appreg.clock import local_today
from appreg.tasks.desk.confirm_cautions import confirm_cautions
from tests.hostile_names import HOSTILE_NAMES
from tests.terminal.hostile_register import fill_register
from tests.terminal.raw_output import assert_only_drawn
from tests.terminal_session import TerminalSession

WHO: Final = "AB"
LISTS: Final = (("f8", "Items"), ("f3", "Due"), ("f4", "Label tray"), ("f5", "Rule book"), ("f2", "Sites"))
PAGES: Final = 12


def stands_at(place: str, picture: str) -> bool:
    return picture.lstrip().startswith(place)


def test_paging_through_every_list_only_draws(tmp_path: Path) -> None:
    path = tmp_path / "register.db"
    fill_register(path, HOSTILE_NAMES)
    assert confirm_cautions(path, WHO, local_today())
    with TerminalSession(path, columns=160, lines=50, environ={"APPREG_WHO": WHO}) as session:
        session.wait_for("Sites")
        session.settle(quiet=0.5)
        for key, place in LISTS:
            session.press(key)
            session.wait_for(partial(stands_at, place))
            session.settle(quiet=0.5)
            for _ in range(PAGES):
                session.press("pagedown")
                session.settle(quiet=0.1, longest=1.0)
            assert session.is_running()
            assert stands_at(place, session.picture())
        assert "[red]" in session.raw.decode("utf-8", errors="ignore")
        assert_only_drawn(bytes(session.raw), HOSTILE_NAMES)
