"""A bench cut off in the middle of an entry, on a real pseudo-terminal: nothing kept is lost, the half-filled is offered."""

import random
import time
from pathlib import Path

from appreg.clock import local_today
from appreg.core.records import Inspection
from appreg.core.work_records import BenchDraft
from appreg.register.checking import problems
from appreg.register.register_file import open_register
from appreg.tasks.confirm_cautions import confirm_cautions
from appreg.ui.screens.bench.bench_entries import entries_from_json
from tests.terminal_session import TerminalSession
from tests.ui.bench_register import KETTLE, WHO, lay_table

TRIALS = 20
SEED = 20261124
KEYS = ("space", *"0.08", "enter", *">299", "enter", "space", "enter")
TYPED = {"earth-continuity": "0.08", "insulation": ">299"}
SURELY_KEPT = 0.8
"""Seconds after which the half-filled bench must be on disk, three times its delay."""


def at_the_bench(path: Path) -> TerminalSession:
    """Take up what is offered at the start, or else go on with today's visit."""
    with open_register(path) as register:
        left = bool(register.find(BenchDraft))
    session = TerminalSession(path, columns=80, lines=24, environ={"APPREG_WHO": WHO})
    session.wait_for("Left half-filled" if left else "Harbour Row 14")
    session.press("enter" if left else "v")
    session.wait_for("item ")
    session.settle()
    return session


def type_until_cut(session: TerminalSession, chance: random.Random, *, rest: bool, whole: bool) -> None:
    """Type at the pace of a quick hand for a while, rest or not, and cut the power; `whole`: once an item is kept."""
    for key in KEYS if whole else KEYS[: chance.randint(2, len(KEYS))]:
        session.press(key)
        session.settle(quiet=chance.uniform(0.0, 0.04), longest=0.1)
    if whole:
        session.wait_for("kept HR-")
    elif rest:
        end = time.monotonic() + SURELY_KEPT
        while time.monotonic() < end:
            session.settle(quiet=0.1, longest=0.1)
    session.kill()


def test_twenty_power_cuts_lose_nothing_that_was_kept_and_offer_the_half_filled_bench(tmp_path: Path) -> None:
    path = tmp_path / "register.db"
    table = lay_table(path, *((f"Kettle {place}", KETTLE) for place in range(TRIALS + 2)), on=local_today())
    table.register.close()
    assert confirm_cautions(path, WHO, local_today())
    chance = random.Random(SEED)
    offered = kept = 0
    for trial in range(TRIALS):
        with at_the_bench(path) as session:
            picture = session.picture()
            with open_register(path) as register:
                drafts = register.find(BenchDraft)
            if drafts:
                offered += 1
                assert "resumed" in picture
                for line, text in entries_from_json(drafts[-1].body).typed.items():
                    assert TYPED[line].startswith(text)
                session.press("\x0e")
                session.settle()
            type_until_cut(session, chance, rest=trial % 2 == 0, whole=trial % 5 == 0)
        with open_register(path) as register:
            assert list(problems(register)) == []
            done = register.find(Inspection)
            assert len(done) >= kept
            assert len(done) > kept or trial % 2 or register.find(BenchDraft)
            kept = len(done)
    assert offered >= TRIALS // 4
    assert kept >= TRIALS // 5
