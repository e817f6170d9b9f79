"""Cut streams of keys at random, as pastes and slow lines bring them: the register ends as after typing one by one."""

import asyncio
import shutil
import time
from collections.abc import Sequence
from pathlib import Path
from random import Random
from typing import Final

from appreg.clock import local_today
from appreg.core.records.kept_records import Appliance, Inspection, InspectionKind, Location
from appreg.core.records.work_records import BenchDraft, NotInspected
from appreg.core.values.outcomes import Outcome
from appreg.register.lists.inspection_lists import findings_of
from appreg.register.opening.register_file import Register, open_register
from appreg.tasks.desk.confirm_cautions import confirm_cautions
from appreg.tasks.records.seed_categories import seed_new_register
from appreg.ui.app import AppregApp
from appreg.ui.screens.bench.bench_entries import entries_from_json
from appreg.ui.shell.terminal_driver import KeyStream
from tests.campaign.trial import Trial
from tests.terminal_session import TerminalSession
from tests.ui.bench_register import KETTLE, LAMP, WHO, lay_table

WALKED: Final = (
    "kettle\r",
    "toaster\r",
    "3 desk lamp\r",
    "wibble\r\r\r",
    "drill\t2\r",
    "\x1b[5~attic\r",
    "\x1b[1;2B",
    "\x1a",
    "lamp\x1b[B\r",
    "ke\x15",
    "ir\x7f\x7f",
    "\x1b[1;2Aold 7\r",
    "\x18\x1b[B\x13",
    "\x1b[A",
)
"""On the walk-round: lines, unknown names, fields, another location, same again, taken back, another meaning, cleared,
a tag of its own, not inspected, up the list."""
BENCH: Final = (
    " 0.08\r>299\r \r",
    " >299\r \r",
    " ",
    "\r",
    "0.11",
    ">299\r",
    "1.5\r",
    "62",
    "\x1b[A",
    "\x1b[B",
    "\x15",
    "\x7f",
    "!",
    "xcut\r",
    "\x12said\r",
    "\x13",
    "\x1a",
    "\x0c",
    "\x14",
    "\x19",
    "\x0e",
    "\x0f",
    "\x1b[6~",
    "\x1b[5~",
)
"""On the Bench: whole items, readings typed over readings, and every key that acts."""
HURRIED: Final = (
    " 0.08\r>299\r \r",
    " 0.08\r>299\r \r\r",
    " >0.5\r>299\r \r\r\r",
    " >299\r \r\r",
    "x\r\r\r",
    " 0.08\r\r\r\r\r\r",
)
"""On the Bench: Enter again and again, just as the keys reach the outcome."""
STREAMS_A_START: Final = 40
"""Streams that one start of the program takes, each on an item of its own."""
_TO_WALK, _TO_BENCH, _QUIT, _FIND = "a", "v", "\x11", "\x07"
_LEAVE: Final = "\x1b[27u" * 5
"""Escape, as terminals send it that tell all keys apart, until nothing is left but Sites."""
_LONGEST_PAUSE: Final = 0.02
_PATIENCE: Final = 120.0
_LONGEST: Final = 600.0
"""Seconds in which nothing is drawn any more, or in all: a busy machine may need minutes for what was typed at once."""


def run(trial: Trial) -> None:
    """Rounds of many streams, typed one by one in this process, and in pieces on a terminal."""
    while trial.goes_on():
        for sentence in faults_of(trial.folder / str(trial.rounds), trial.random, STREAMS_A_START):
            trial.fault(sentence)
        trial.count("streams", STREAMS_A_START)


def faults_of(folder: Path, chance: Random, streams: int) -> list[str]:
    """Type some streams slowly and in pieces; what came to other records, a sentence each."""
    walked = [chance.choices(WALKED, k=chance.randint(3, 12)) for _ in range(streams // 4)]
    worked = [_bench_stream(chance) for _ in range(streams - len(walked))]
    tags = [f"HR-{number + 1:03}" for number in range(len(worked))]
    keys = [*(key for each in walked for key in (_TO_WALK, *each, _LEAVE)), _TO_BENCH]
    keys += [key for tag, each in zip(tags, worked, strict=True) for key in (f"{_FIND}{tag}\r", *each)]
    keys.append(_QUIT)
    once = asyncio.run(_typed_one_by_one(_laid(folder / "slow", len(worked)), keys))
    bunched, ended = _typed_in_pieces(_laid(folder / "fast", len(worked)), "".join(keys).encode(), chance)
    shutil.rmtree(folder)
    lost, other = (sorted(set(a) - set(b)) for a, b in ((once, bunched), (bunched, once)))
    of_tag = dict(zip(tags, worked, strict=True))
    if not any(f" {kind} {outcome} " in line for line in once for kind in InspectionKind for outcome in Outcome):
        return ["nothing was inspected: the streams did not come to the Bench"]
    return [
        *ended,
        *(
            f"{of_tag.get(line.split()[0], walked)!r} came to other records in pieces: {line} became {other}"
            for line in lost or other
        ),
    ]


def _bench_stream(chance: Random) -> list[str]:
    if chance.random() < 1 / 3:
        return [*chance.choices(BENCH, k=chance.randint(0, 3)), chance.choice(HURRIED)]
    return chance.choices(BENCH, k=chance.randint(5, 20))


def _laid(folder: Path, items: int) -> Path:
    path = folder / "register.db"
    folder.mkdir(parents=True)
    laid = [("Kettle", KETTLE), ("Desk lamp", LAMP)] * (items // 2 + 1)
    register = lay_table(path, *laid[:items], on=local_today()).register
    seed_new_register(register, WHO)
    register.close()
    confirm_cautions(path, WHO, local_today())
    return path


async def _typed_one_by_one(path: Path, keys: Sequence[str]) -> list[str]:
    with open_register(path) as register:
        async with AppregApp(register, today=local_today, who=WHO).run_test(size=(100, 40)) as pilot:
            for event in KeyStream().feed("".join(keys).encode()):
                pilot.app.post_message(event)
                await pilot.pause()
        return _records(register)


def _typed_in_pieces(path: Path, keys: bytes, chance: Random) -> tuple[list[str], list[str]]:
    """The records, and a sentence where the program did not end as it was told to."""
    with TerminalSession(path, columns=100, lines=40, environ={"APPREG_WHO": WHO}) as session:
        session.wait_for("Harbour Row 14", longest=_PATIENCE)
        while keys:
            size = chance.choice((1, 2, 5, 20, 200))
            session.write(keys[:size])
            keys = keys[size:]
            if not keys.startswith(b"["):  # an escape that waits is a key of its own
                session.settle(quiet=chance.uniform(0, _LONGEST_PAUSE), longest=_LONGEST_PAUSE)
        drawn, end, last = -1, 0.0, time.monotonic() + _LONGEST
        while (
            session.is_running() and time.monotonic() < last and (drawn != len(session.raw) or time.monotonic() < end)
        ):
            if drawn != len(session.raw):
                drawn, end = len(session.raw), time.monotonic() + _PATIENCE
            session.settle(longest=0.2)
        ended = [] if session.code == 0 else [f"it ended with {session.code}, and showed last:\n{session.picture()}"]
    with open_register(path) as register:
        return _records(register), ended


def _records(register: Register) -> list[str]:
    """What a person would miss, a line each: items, inspections with their readings, benches half filled."""
    items = {item.uid: item for item in register.find(Appliance)}
    rooms = {room.uid: room.name for room in register.find(Location)}
    told = [
        f"{i.tag} {i.name} {i.appliance_class} {i.cord_length_m} {i.power_w} {i.unsuitable_500v} in {rooms[i.location]}"
        for i in items.values()
    ]
    for done in register.find(Inspection):
        findings = findings_of(register, done.uid)
        read = [f"{f.check_name} {f.finding} {f.reading} {f.remark}" for f in findings]
        told.append(f"{items[done.appliance].tag} {done.kind} {done.outcome} {done.reason} {read}")
    told += [f"{items[e.appliance].tag} not inspected: {e.because}" for e in register.find(NotInspected)]
    for draft in register.find(BenchDraft):
        left = entries_from_json(draft.body)
        typed = {line: text for line, text in left.typed.items() if text}
        told.append(f"{items[draft.appliance].tag} half-filled {sorted(left.marks.items())} {sorted(typed.items())}")
    return sorted(told)
