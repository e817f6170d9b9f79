"""Keys that arrive bunched on a real terminal do what they do one by one, and every control key reaches its command."""

from datetime import timedelta
from pathlib import Path

from appreg.clock import local_today
from appreg.core.records import Appliance, Inspection
from appreg.register.checking import problems
from appreg.register.register_file import open_register
from appreg.tasks.confirm_cautions import confirm_cautions
from appreg.tasks.seed_categories import seed_categories
from tests.terminal_session import TerminalSession
from tests.ui.bench_register import KETTLE, WHO, lay_table


def test_a_visit_in_bunches(tmp_path: Path) -> None:
    path = tmp_path / "register.db"
    table = lay_table(path, ("Kettle", KETTLE), on=local_today() - timedelta(days=1))
    seed_categories(table.register, WHO)
    table.register.close()
    assert confirm_cautions(path, WHO, local_today())
    with TerminalSession(path, columns=100, lines=40, environ={"APPREG_WHO": WHO}) as session:
        session.wait_for("Harbour Row 14")
        session.press("akettle\rtoaster\r3 desk lamp\r\x04\x1bOQ")
        session.wait_for(lambda picture: "never inspected 9" in picture)
        session.press("\x1b[19~/toaster\r\r")
        session.wait_for(lambda picture: "Toaster" in picture and "Items" not in picture.splitlines()[0])
        session.press("\x1bOQa")
        session.wait_for("9 items so far")
        for key, seen in (("\x0e", "Category"), ("\x0c", "9 items so far")):
            session.press(key)
            session.wait_for(lambda picture, seen=seen: seen.casefold() in picture.casefold())  # type: ignore[misc]
            session.press("escape" if key == "\x0e" else "tab")
            session.settle(quiet=0.2)
        session.press("\x02")
        session.wait_for("Instrument")
        session.press("\x13\x13\x13")
        session.wait_for("nothing is kept")
        session.press(" 0.11\r>299\r\x1b[A\x1b[A62")
        session.wait_for(" 62 ")
        session.press("\x15\x11")
        assert session.ended() == 0
    with open_register(path) as register:
        names = [item.name for item in sorted(register.find(Appliance), key=lambda item: item.tag)]
        assert names == ["Kettle", "Kettle", "Toaster", *["Desk lamp"] * 6]
        assert register.find(Inspection) == []
        assert list(problems(register)) == []
