"""Few bytes go to the terminal: ceilings far above what is written, far below whole frames."""

from pathlib import Path

from appreg.clock import local_today
from appreg.tasks.desk.confirm_cautions import confirm_cautions
from tests.terminal_session import TerminalSession
from tests.ui.bench_register import KETTLE, WHO, lay_table

INSPECTION, LETTER = 25_000, 1_000


def written(session: TerminalSession, *keys: str) -> int:
    """Bytes that some keys cause, one after another."""
    before = len(session.raw)
    for key in keys:
        session.press(key)
        session.settle(quiet=0.25)
    return len(session.raw) - before


def test_a_passed_inspection_and_a_letter_of_the_filter(tmp_path: Path) -> None:
    path = tmp_path / "register.db"
    lay_table(path, ("Kettle", KETTLE), ("Kettle", KETTLE), on=local_today()).register.close()
    assert confirm_cautions(path, WHO, local_today())
    with TerminalSession(path, columns=120, lines=40, environ={"APPREG_WHO": WHO}) as session:
        session.wait_for("Harbour Row 14")
        session.press("v")
        session.wait_for("item 1 of 2")
        session.settle(quiet=0.3)
        count = written(session, "space", *"0.08", "enter", *">299", "enter", "space", "enter")
        session.wait_for("item 2 of 2")
        assert count < INSPECTION
        session.press("f8")
        session.wait_for(lambda picture: picture.lstrip().startswith("Items"))
        session.press("/")
        session.settle(quiet=0.3)
        written(session, "k")
        session.wait_for("filter k")
        assert written(session, "e") < LETTER
        session.wait_for("filter ke")
