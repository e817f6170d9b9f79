"""Clocks that step between saves, on several laptops over one register: no item may show what the rule denies."""

from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from typing import Final

import msgspec

from appreg.clock import Instant
from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance, Inspection, InspectionKind, LabelKind, QueuedLabel, Visit
from appreg.core.records.work_records import Movement
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.opening.register_file import Register, open_register
from appreg.tasks.inspecting.open_bench import items_for_visit
from appreg.tasks.inspecting.record_inspection import record_inspection
from appreg.tasks.inspecting.record_repair import open_actions, record_repair
from appreg.tasks.inspecting.start_visit import start_visit
from appreg.tasks.inspecting.take_back_inspection import take_back_inspection
from appreg.tasks.items.list_blocked import blocks_of
from appreg.tasks.items.record_movement import record_movement
from appreg.tasks.keeping.verify_register import verify_register
from appreg.tasks.standing.queue_labels import queue_labels
from appreg.ui.screens.bench.bench_walk import last_kept
from tests.campaign.trial import Trial
from tests.tasks.worked_site import WorkedSite, combined, worked_site

_STEPS_A_ROUND: Final = 50
_START: Final = 1_795_521_600_000
"""24 November 2026, noon, ms."""
_SECOND: Final = 1000
_DAY: Final = 86_400_000
_STEPS: Final = (_SECOND, 30 * _SECOND, 3_600_000, 9 * 3_600_000, _DAY, 3 * _DAY)


@dataclass(slots=True)
class _Laptop:
    """A register of its own on the shared file, with a clock that is set forth and back."""

    now: int = _START
    register: Register = field(init=False)

    def __call__(self) -> Instant:
        self.now += 7
        return Instant(self.now)

    @property
    def today(self) -> date:
        return datetime.fromtimestamp(self.now / 1000, tz=UTC).date()


class _Known(msgspec.Struct):
    """What was saved of one item, in the order in which it was saved."""

    saved: list[Inspection] = msgspec.field(default_factory=list)
    gone: set[Uid] = msgspec.field(default_factory=set)
    """Superseded or taken back."""
    returned: tuple[int, date] | None = None
    """How many inspections had been saved when it came back, and the day given."""

    def counting(self) -> list[Inspection]:
        return [each for each in self.saved if each.uid not in self.gone]

    def turn(self, inspection: Inspection) -> int:
        while inspection.supersedes is not None:
            inspection = next(each for each in self.saved if each.uid == inspection.supersedes)
        return self.saved.index(inspection)

    def standing_failures(self) -> list[Inspection]:
        """The rule, by brute force."""
        counting = self.counting()
        whole = [each for each in counting if each.outcome is Outcome.PASS and each.kind is InspectionKind.COMBINED]
        return [
            failure
            for failure in counting
            if failure.outcome is Outcome.FAIL
            and not any(self.turn(each) > self.turn(failure) and each.date >= failure.date for each in whole)
        ]

    def is_blocked(self) -> bool:
        """It came back, and nothing has passed since."""
        if self.returned is None:
            return False
        number, day = self.returned
        return not any(
            each.outcome is Outcome.PASS and self.saved.index(each) >= number and each.date >= day
            for each in self.counting()
        )


def run(trial: Trial) -> None:
    """Rounds of some fifty saves with a clock step before each."""
    while trial.goes_on():
        folder = trial.folder / str(trial.rounds)
        folder.mkdir()
        with worked_site(folder, environment="hire") as made:
            laptops = [_Laptop() for _ in range(trial.random.choice((1, 2, 3)))]
            for laptop in laptops:
                laptop.register = open_register(made.register.path, clock=laptop)
            try:
                _Round(trial, made, laptops).run()
            finally:
                for laptop in laptops:
                    laptop.register.close()


class _Round:
    def __init__(self, trial: Trial, made: WorkedSite, laptops: list[_Laptop]) -> None:
        self._trial = trial
        self._made = made
        self._laptops = laptops
        self._known = {made.kettle().uid: _Known() for _ in range(3)}
        self._visits: dict[tuple[int, date], Visit] = {}
        self._said: list[str] = []

    def run(self) -> None:
        chance = self._trial.random
        deeds = (self._fail, self._fail, self._pass, self._pass, self._pass, self._look, self._leave_incomplete,
                 self._correct, self._undo, self._repair, self._move, self._label)  # fmt: skip
        for _ in range(_STEPS_A_ROUND):
            laptop, item = chance.choice(self._laptops), chance.choice(list(self._known))
            step = chance.choice(_STEPS) * chance.choice((-1, -1, 1))
            laptop.now += step
            self._trial.count("clock steps")
            deed = chance.choice(deeds)
            self._said.append(f"{deed.__name__} {list(self._known).index(item)} at {step // _SECOND:+} s")
            try:
                deed(laptop, item)
            except InputRefused:
                self._trial.count("refusals")
            self._check(item)
        for problem in verify_register(self._made.register):
            self._wrong(f"verify: {problem.sentence}")

    def _check(self, uid: Uid) -> None:
        register, known = self._made.register, self._known[uid]
        item = register.get(Appliance, uid)
        waiting = [each.kind for each in register.find(QueuedLabel, appliance=uid, printed_on=None)]
        failures = known.standing_failures()
        if failures and (
            item.last_outcome is Outcome.PASS
            or item.state is ServiceState.IN_SERVICE
            or LabelKind.PASS in waiting
            or not open_actions(register, uid)
        ):
            self._wrong(f"a failure stands, yet {item.last_outcome}, {item.state}, {waiting}")
        if not failures and (item.last_outcome is Outcome.FAIL or LabelKind.DO_NOT_USE in waiting):
            self._wrong(f"no failure stands, yet {item.last_outcome}, {waiting}")
        whole = any(each.uid == item.last_inspection and each.kind is InspectionKind.COMBINED for each in known.saved)
        if not failures and whole and item.last_outcome is Outcome.PASS and item.state is not ServiceState.IN_SERVICE:
            self._wrong(f"it passed, yet it is {item.state}")
        if known.is_blocked() and item.state is ServiceState.IN_SERVICE and not blocks_of(register, item):
            self._wrong("it came back and nothing has passed since, yet it may be issued")

    def _wrong(self, what: str) -> None:
        self._trial.count("wrong states")
        self._trial.fault(f"{what}, after {', '.join(self._said[-12:])}")

    def _visit(self, laptop: _Laptop) -> Visit:
        place = self._laptops.index(laptop), laptop.today
        if place not in self._visits:
            self._visits[place] = start_visit(
                laptop.register, "x", site=self._made.site.uid, on=laptop.today, person=self._made.person.uid
            )
        return self._visits[place]

    def _save(
        self, laptop: _Laptop, uid: Uid, *, earth: str, look: bool = False, old: Inspection | None = None
    ) -> None:
        known = self._known[uid]
        kept = record_inspection(
            laptop.register,
            "x",
            appliance=uid,
            visit=old.visit if old is not None else self._visit(laptop).uid,
            kind=InspectionKind.VISUAL if look else InspectionKind.COMBINED,
            entries=combined(earth=earth),
            supersedes=old.uid if old is not None else None,
            reason="misread" if old is not None else "",
        ).inspection
        known.saved.append(kept)
        known.gone |= {old.uid} if old is not None else set()
        self._trial.count("inspections")

    def _pass(self, laptop: _Laptop, uid: Uid) -> None:
        self._save(laptop, uid, earth="0.05")

    def _fail(self, laptop: _Laptop, uid: Uid) -> None:
        self._save(laptop, uid, earth="0.9")

    def _leave_incomplete(self, laptop: _Laptop, uid: Uid) -> None:
        self._save(laptop, uid, earth="")

    def _look(self, laptop: _Laptop, uid: Uid) -> None:
        self._save(laptop, uid, earth="", look=True)

    def _correct(self, laptop: _Laptop, uid: Uid) -> None:
        if counting := self._known[uid].counting():
            chance = self._trial.random
            self._save(laptop, uid, earth=chance.choice(("0.05", "0.9", "")), old=chance.choice(counting))
            self._trial.count("corrections")

    def _undo(self, laptop: _Laptop, uid: Uid) -> None:
        known = self._known[uid]
        if not (counting := known.counting()):
            return
        last = counting[-1]
        stands = {each.uid for each in counting}
        walked = items_for_visit(laptop.register, last.visit)
        others = [each for other in self._known.values() for each in other.counting() if each.visit == last.visit]
        if (offered := last_kept(walked)) is not None and offered not in {each.uid for each in others}:
            self._wrong("undo offers what does not count")
        take_back_inspection(laptop.register, "x", last.uid)
        known.gone.add(last.uid)
        if last.supersedes is not None and last.supersedes not in stands:
            known.gone.discard(last.supersedes)
        self._trial.count("undone")

    def _repair(self, laptop: _Laptop, uid: Uid) -> None:
        for action in open_actions(laptop.register, uid):
            record_repair(laptop.register, "x", action=action.uid, repair="new plug", on=laptop.today)
            self._trial.count("repairs")

    def _move(self, laptop: _Laptop, uid: Uid) -> None:
        movement = self._trial.random.choice(tuple(Movement))
        record_movement(laptop.register, "x", appliance=uid, movement=movement, on=laptop.today)
        if movement is Movement.RETURNED:
            self._known[uid].returned = len(self._known[uid].saved), laptop.today
        if movement is Movement.ISSUED:
            self._known[uid].returned = None
        self._trial.count("movements")

    def _label(self, laptop: _Laptop, uid: Uid) -> None:
        queue_labels(laptop.register, "x", appliances=[uid], today=laptop.today)
        self._trial.count("labels")
