"""Keys that arrive bunched on a real terminal do what they do one by one, and every control key reaches its command."""

from datetime import timedelta
from pathlib import Path

from appreg.clock import local_today
from appreg.core.records.kept_records import Appliance, Inspection
from appreg.core.records.work_records import BenchDraft, NotInspected
from appreg.register.checking.checking import problems
from appreg.register.opening.register_file import open_register
from appreg.tasks.desk.confirm_cautions import confirm_cautions
from appreg.tasks.records.seed_categories import seed_categories
from appreg.ui.screens.bench.bench_entries import entries_from_json
from tests.terminal_session import TerminalSession
from tests.ui.bench_register import KETTLE, WHO, lay_table

NEW, PLACE = "\x1b[2~", "\x1b[5~"


def test_a_visit_in_bunches(tmp_path: Path) -> None:
    path = tmp_path / "register.db"
    table = lay_table(path, ("Kettle", KETTLE), on=local_today() - timedelta(days=1))
    seed_categories(table.register, WHO)
    table.register.close()
    assert confirm_cautions(path, WHO, local_today())
    with TerminalSession(path, columns=100, lines=40, environ={"APPREG_WHO": WHO}) as session:
        session.wait_for("Harbour Row 14")
        session.press("akettle\rtoaster\r3 desk lamp\r\x1b[1;2B\x1bOQ")
        session.wait_for(lambda picture: "never inspected 9" in picture)
        session.press("\x1b[19~/toaster\r\r")
        session.wait_for(lambda picture: "Toaster" in picture and "Items" not in picture.splitlines()[0])
        session.press("\x1bOQa")
        session.wait_for("9 items so far")
        for key, seen in ((NEW, "Category"), (PLACE, "9 items so far")):
            session.press(key)
            session.wait_for(lambda picture, seen=seen: seen.casefold() in picture.casefold())  # type: ignore[misc]
            session.press("escape" if key == NEW else "tab")
            session.settle(quiet=0.2)
        session.press("escape")
        session.settle(quiet=0.2)
        session.press("v")
        session.wait_for("Instrument")
        session.press("\x13\x13\x13")
        session.wait_for("nothing is kept")
        session.press(" \x04no metal\r")
        session.wait_for("left out: no metal")
        session.press("\x040.11\r>299\r\x1b[A\x1b[A62")
        session.wait_for(" 62 ")
        session.press("\x15\x11")
        assert session.ended() == 0
    with open_register(path) as register:
        names = [item.name for item in sorted(register.find(Appliance), key=lambda item: item.tag)]
        assert names == ["Kettle", "Kettle", "Toaster", *["Desk lamp"] * 6]
        assert register.find(Inspection) == []
        assert list(problems(register)) == []


LINES = "kettle\rtoaster\r3 desk lamp\r"
PASTE = f"\x1b[200~{LINES}\x1b[201~"
OWN_TAG, SAME, TEST_NOW, NOT_INSPECTED, CLEAR = "\x1b[1;2A", "\x1b[1;2B", "\x1b[6~", "\x18", "\x15"


def test_lines_stay_apart_bunched_pasted_or_from_a_slow_line_and_are_tested_at_once(tmp_path: Path) -> None:
    path = tmp_path / "register.db"
    table = lay_table(path, on=local_today())
    seed_categories(table.register, WHO)
    table.register.close()
    assert confirm_cautions(path, WHO, local_today())
    with TerminalSession(path, columns=100, lines=40, environ={"APPREG_WHO": WHO}) as session:
        session.wait_for("Harbour Row 14")
        session.press(f"a{LINES}{PASTE}")
        session.wait_for("10 items so far")
        for piece in ("ket", "tle\rto", "aster", "\r3 desk", " lamp\r", SAME):
            session.press(piece)
            session.settle(quiet=0.05)
        session.wait_for("18 items so far")
        session.press(f"{OWN_TAG}old 7\rkettle\r{SAME}{OWN_TAG}old 7{SAME}")
        session.wait_for("OLD 7 is on another item (Kettle)")
        session.press(f"{OWN_TAG}{CLEAR}\r{CLEAR}toaster{NOT_INSPECTED}\x1b[B\x13")
        session.wait_for("Toaster · refused")
        session.press("APPREG:OLD\x11\x1b[A-8\r")
        session.wait_for("No item has the tag “OLD-8”")
        session.press(f"\rtoaster{TEST_NOW} 0.11\r62{CLEAR}>299\r{CLEAR}")
        session.wait_for(lambda picture: "OLD-8" in picture and "299" in picture)
        session.press("\x11")
        assert session.ended() == 0
    with open_register(path) as register:
        items = sorted(register.find(Appliance), key=lambda item: item.uid)
        assert [item.name for item in items[:15]] == ["Kettle", "Toaster", *["Desk lamp"] * 3] * 3
        named = [f"{item.tag} {item.name}" for item in items[18:]]
        assert named == ["OLD 7 Kettle", "HR-019 Kettle", "HR-020 Kettle", "HR-021 Toaster", "OLD-8 Toaster"]
        (left,) = register.find(NotInspected)
        assert (left.because.value, register.get(Appliance, left.appliance).tag) == ("refused", "HR-021")
        (draft,) = register.find(BenchDraft)
        assert register.get(Appliance, draft.appliance).tag == "OLD-8"
        typed = {str(line): text for line, text in entries_from_json(draft.body).typed.items() if text}
        assert typed == {"earth-continuity": "0.11", "insulation": ">299"}
        assert not any(item.unsuitable_500v for item in items)
        assert register.find(Inspection) == []
        assert list(problems(register)) == []
