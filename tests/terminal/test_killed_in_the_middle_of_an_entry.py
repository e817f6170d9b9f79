"""The program killed at twenty random moments in the middle of an entry, on a real terminal: what must survive does.

Each time some items are kept and another is half-filled. All that was kept is there, complete; the half-filled bench
is offered again, with at least what had been on the screen for half a second before the kill.
"""

import random
import re
import time
from pathlib import Path
from typing import Final

import pytest
from msgspec import Struct, field

from appreg.clock import local_today
from appreg.core.records.kept_records import Appliance, Inspection, QueuedLabel, Visit
from appreg.core.records.work_records import BenchDraft
from appreg.core.values.outcomes import Outcome
from appreg.register.checking.checking import problems
from appreg.register.lists.inspection_lists import findings_of
from appreg.register.opening.register_file import Register, open_register
from appreg.tasks.desk.confirm_cautions import confirm_cautions
from appreg.ui.screens.bench.bench_entries import LineId, entries_from_json
from tests.terminal.hostile_walk import QuickSession
from tests.ui.bench_register import KETTLE, WHO, lay_table

CHUNKS: Final = 4
TRIALS: Final = 5
"""In each chunk: twenty in all."""
SURELY_KEPT: Final = 0.5
"""Seconds on the screen after which an entry must outlive the program."""
LONGEST_REST: Final = 1.0
WHOLE_ITEM: Final = ("space", "0.08", "enter", ">299", "enter", "space", "enter")
ENTRY: Final = (("earth", "0.08"), ("insulation 500 V", ">299"))
LINE_IDS: Final = {"earth": "earth-continuity", "insulation 500 V": "insulation"}
KEPT: Final = re.compile(r"kept (HR-\d+) pass")


class Trial(Struct):
    """What one run was seen to keep and to take before it was killed."""

    kept: set[str] = field(default_factory=set)
    seen: list[tuple[float, str, str]] = field(default_factory=list)
    """When a line of the bench showed what was typed into it so far."""
    slowest: float = 0.0
    """Longest time from a key to the screen, s: how far behind the program runs on a busy machine."""

    def surely_kept(self, killed_at: float) -> dict[str, str]:
        """By line: what stood on the screen long enough before the kill."""
        before = killed_at - SURELY_KEPT - 2 * self.slowest
        return {LINE_IDS[line]: text for at, line, text in self.seen if at <= before}


@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_a_kill_loses_nothing_kept_and_the_half_filled_bench_is_offered(tmp_path: Path, chunk: int) -> None:
    path = tmp_path / "register.db"
    table = lay_table(path, *((f"Kettle {place}", KETTLE) for place in range(3 * TRIALS)), on=local_today())
    table.register.close()
    assert confirm_cautions(path, WHO, local_today())
    chance = random.Random(f"kill {chunk}")
    kept: set[str] = set()
    must: dict[str, str] = {}
    outlived = 0
    for at in range(TRIALS + 1):
        trial = Trial()
        with QuickSession(path, columns=100, lines=30, environ={"APPREG_WHO": WHO}) as session:
            offered = open_the_bench(session, path)
            for text in must.values():
                assert text in session.picture()
            outlived += len(must)
            assert offered or not must
            if at == TRIALS:
                break
            work(session, trial, chance)
            kill_at_random(session, chance)
            killed_at = time.monotonic()
        must = trial.surely_kept(killed_at)
        kept |= trial.kept
        with open_register(path) as register:
            assert list(problems(register)) == []
            assert_kept_whole(register, kept)
            assert_half_filled(register, must)
    assert len(kept) >= TRIALS // 2
    assert outlived >= TRIALS // 2


def open_the_bench(session: QuickSession, path: Path) -> bool:
    """Take up the bench that is offered, or go on with the visit; tells whether one was offered."""
    with open_register(path) as register:
        left = bool(register.find(BenchDraft))
    session.wait_for("Left half-filled" if left else "Harbour Row 14")
    session.press("enter" if left else "v")
    session.wait_for("resumed" if left else "item ")
    session.settle(quiet=0.1)
    return left


def work(session: QuickSession, trial: Trial, chance: random.Random) -> None:
    """Start the item at hand anew, keep up to two, and type a part of the entry of the next."""
    session.press("ctrl+n")
    session.wait_for(lambda picture: "all 10 ok" not in picture and "resumed" not in picture)
    for _ in range(chance.randint(0, 2)):
        session.press(*WHOLE_ITEM)
        picture = session.wait_for(lambda picture: has_new(picture, trial.kept))
        trial.kept |= set(KEPT.findall(picture))
    session.press("space")
    session.wait_for("all 10 ok")
    keys = [(line, reading[: at + 1]) for line, reading in ENTRY for at in range(len(reading))]
    for line, text in keys[: chance.randint(1, len(keys))]:
        if len(text) == 1 and line != ENTRY[0][0]:
            session.press("enter")
        type_and_see(session, trial, line, text)


def has_new(picture: str, kept: set[str]) -> bool:
    """Tell whether the bench says that it kept another item."""
    return bool(set(KEPT.findall(picture)) - kept)


def type_and_see(session: QuickSession, trial: Trial, line: str, text: str) -> None:
    """Type the last character of a text, and note when its line shows the whole."""
    sent = time.monotonic()
    session.press(text[-1])
    shown = re.compile(rf"^ ?{re.escape(line)} +{re.escape(text)}(?: |$)", re.MULTILINE)
    session.wait_for(lambda picture: bool(shown.search(picture)))
    now = time.monotonic()
    trial.slowest = max(trial.slowest, now - sent)
    trial.seen.append((now, line, text))


def kill_at_random(session: QuickSession, chance: random.Random) -> None:
    """Let the program go on for a random while, and end it as a power cut would."""
    end = time.monotonic() + chance.uniform(0.0, LONGEST_REST + SURELY_KEPT)
    while (left := end - time.monotonic()) > 0:
        session.settle(quiet=left, longest=left)
    session.kill()


def assert_kept_whole(register: Register, kept: set[str]) -> None:
    """Every item that was said to be kept is: inspection, findings, standing and label."""
    (visit,) = register.find(Visit)
    done = {inspection.appliance: inspection for inspection in register.find(Inspection, visit=visit.uid)}
    labelled = {label.inspection for label in register.find(QueuedLabel)}
    for item in register.find(Appliance):
        inspection = done.pop(item.uid, None)
        assert inspection is not None or item.tag not in kept
        if inspection is not None:
            assert inspection.outcome is Outcome.PASS
            assert {finding.check_name for finding in findings_of(register, inspection.uid)} >= {
                "visual",
                "earth-continuity",
                "insulation",
                "functional",
            }
            assert (item.last_inspection, inspection.uid in labelled) == (inspection.uid, True)
    assert done == {}


def assert_half_filled(register: Register, must: dict[str, str]) -> None:
    """The half-filled bench on disk holds at least what surely had to be kept, and nothing that was never typed."""
    drafts = register.find(BenchDraft)
    assert drafts or not must
    whole = {LINE_IDS[line]: reading for line, reading in ENTRY}
    for draft in drafts[-1:]:
        typed = entries_from_json(draft.body).typed
        assert all(whole[line].startswith(text) for line, text in typed.items() if text)
        assert [line for line, text in must.items() if not str(typed.get(LineId(line), "")).startswith(text)] == []
