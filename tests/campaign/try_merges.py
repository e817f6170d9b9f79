"""Copies of one register go different ways and become one, in whatever order: in files, and with a database among them."""

import gc
import shutil
from collections.abc import Sequence
from contextlib import nullcontext
from pathlib import Path
from random import Random
from typing import Final
from unittest.mock import patch

from appreg.tasks.desk.keep_settings import Settings
from appreg.tasks.keeping import merge_registers
from appreg.tasks.keeping.merge_registers import Merged
from appreg.tasks.keeping.settle_contests import open_contests, settle
from appreg.tasks.keeping.verify_register import verify_register
from tests.campaign.trial import Trial
from tests.postgres_server import PostgresServer, why_no_server
from tests.tasks.merged_desks import WAYS, Desk, ServerDesk, edit, first_desk, lines_of_people, tables_of
from tests.unsynced_disk import unsynced_disk

_MOST_OFF: Final = 6
"""Hours."""
_WITH_COPIES: Final = 5
"""One round in so many keeps a copy before each merge."""
_WITH_SERVER: Final = 3
"""One round in so many has a database among its desks, where there is one."""


def run(trial: Trial) -> None:
    """Play one round after the other; `most` counts them."""
    if not trial.goes_on():
        return
    reason = why_no_server()
    server = None if reason else PostgresServer()
    if server is None:
        trial.count(f"servers, as {reason}", 0)
    trial.rounds = 0
    try:
        gc.freeze()  # what stands now is looked through no more, whenever a file is copied
        with unsynced_disk():
            while trial.goes_on():
                _play(trial, server if trial.rounds % _WITH_SERVER == 0 else None)
    finally:
        gc.unfreeze()
        if server is not None:
            server.remove()


def _play(trial: Trial, server: PostgresServer | None) -> None:
    folder = trial.folder / str(trial.rounds)
    # That a copy is kept before is tried where merges are killed; here it would take a fourth of the time.
    nothing_kept = patch.object(merge_registers, "_kept", lambda *_: None)
    try:
        with nothing_kept if trial.rounds % _WITH_COPIES else nullcontext():
            _Round(trial, folder, server).play()
    except Exception as problem:  # noqa: BLE001 - whatever comes out is a fault to tell
        trial.fault(f"{type(problem).__name__}: {problem}")
    trial.count("with a database" if server else "in files alone")
    shutil.rmtree(folder)


class _Round:
    """Three to five desks, and what they do."""

    def __init__(self, trial: Trial, folder: Path, server: PostgresServer | None) -> None:
        self._trial = trial
        self._random: Random = trial.random
        self._folder = folder
        self._server = server
        self._made = 0
        first, self._school = first_desk(folder / "first")
        self._desks = [first, *(self._copied(first) for _ in range(self._random.randint(2, 4)))]
        if server is not None:
            self._desks[-1] = self._carried(first)

    def play(self) -> None:
        """Let them work, merge them in two orders and as two halves, and hold the three against each other."""
        for _ in range(self._random.randint(6, 24)):
            self._move()
        recorded = {line[0] for desk in self._desks for line in lines_of_people(desk)}
        half = self._random.randint(1, len(self._desks) - 1)
        orders = [self._shuffled() for _ in range(3)]
        ends = [self._all_in(orders[0], at_server=self._server is not None), self._all_in(orders[1])]
        ends.append(self._all_in([self._all_in(orders[2][:half]), self._all_in(orders[2][half:])]))
        for end in ends:
            self._sound(end)
            self._hold("lines of people", {line[0] for line in lines_of_people(end)}, recorded)
            self._hold("tables", tables_of(end), tables_of(ends[0]))
            self._hold("contests", self._contests(end), self._contests(ends[0]))
        self._come_to_rest(ends[1], ends[2])
        self._settled(ends[1], ends[0])

    def _move(self) -> None:
        desk, other = self._random.choice(self._desks), self._random.choice(self._desks)
        way = self._random.randrange(WAYS + 4)
        if way < WAYS:
            with desk.open() as register:
                edit(register, self._school, f"P{self._desks.index(desk)}", way, self._random.randrange(12))
        elif other is desk:
            return
        elif way == WAYS:
            self._take_in(desk, other)
            self._trial.count("merged in between")
        elif not _at_server(desk) and not _at_server(other):
            self._lay_over(desk, other, way)

    def _lay_over(self, desk: Desk, other: Desk, way: int) -> None:
        """A file copied over another's, or an older copy put back after the desk has gone on."""
        if way == WAYS + 1:
            desk.copied_to(other)
            self._trial.count("raw copies")
            return
        kept = self._copied(desk)
        for _ in range(3):
            with desk.open() as register:
                edit(register, self._school, "lost", self._random.randrange(WAYS), self._random.randrange(12))
        if self._random.random() < 0.5:
            self._take_in(other, desk)  # what is lost here stands there
        kept.copied_to(desk)
        self._trial.count("restores")

    def _settled(self, desk: Desk, other: Desk) -> None:
        """Settle each contest at one desk; once the other has taken that in, none is open there either."""
        with desk.open() as register:
            for contest in open_contests(register):
                settle(register, "Sue", contest, self._random.choice(contest.values))
                self._trial.count("contests settled")
            self._hold("contests left", len(open_contests(register)), 0)
        self._take_in(other, desk)
        self._hold("contests left there", len(self._contests(other)), 0)
        self._hold("settled tables", tables_of(other), tables_of(desk))
        self._sound(other)

    def _come_to_rest(self, one: Desk, other: Desk) -> None:
        self._take_in(one, other)
        self._take_in(other, one)
        self._hold("lines at rest", (self._take_in(one, other).lines, self._take_in(other, one).lines), (0, 0))
        self._hold("tables at rest", tables_of(one), tables_of(other))

    def _all_in(self, order: Sequence[Desk], *, at_server: bool = False) -> Desk:
        end = self._carried(order[0]) if at_server or _at_server(order[0]) else self._copied(order[0])
        for other in order[1:]:
            self._take_in(end, other)
        return end

    def _take_in(self, desk: Desk, other: Desk) -> Merged:
        with desk.open() as register:
            return merge_registers.merge_registers(register, "Mer", other.place, settings=Settings(), now=desk.clock())

    def _copied(self, desk: Desk) -> Desk:
        return desk.copied_to(self._new())

    def _carried(self, desk: Desk) -> Desk:
        assert self._server is not None
        new = self._new()
        return ServerDesk(new.folder, self._server, ahead=new.ahead).carried_from(desk)

    def _new(self) -> Desk:
        self._made += 1
        return Desk(self._folder / str(self._made), ahead=self._random.randint(-_MOST_OFF, _MOST_OFF))

    def _shuffled(self) -> list[Desk]:
        return self._random.sample(self._desks, len(self._desks))

    def _contests(self, desk: Desk) -> list[object]:
        with desk.open() as register:
            return list(open_contests(register))

    def _sound(self, desk: Desk) -> None:
        with desk.open() as register:
            for problem in verify_register(register):
                self._trial.fault(f"{desk.place}: {problem.sentence}")

    def _hold(self, what: str, found: object, wanted: object) -> None:
        if found != wanted:
            self._trial.fault(f"{what} differ: {_differing(found, wanted)}")


def _at_server(desk: Desk) -> bool:
    return isinstance(desk, ServerDesk)


def _differing(found: object, wanted: object) -> str:
    if isinstance(found, dict) and isinstance(wanted, dict):
        pairs = {key: (found[key], wanted[key]) for key in found if found[key] != wanted[key]}
        return "; ".join(f"{key} {_differing(one, other)}" for key, (one, other) in pairs.items())[:900]
    if isinstance(found, list | set) and isinstance(wanted, list | set):
        return f"{[each for each in found if each not in wanted]!r:.300} ≠ {[each for each in wanted if each not in found]!r:.300}"
    return f"{found!r:.300} ≠ {wanted!r:.300}"
