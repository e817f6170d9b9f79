"""A long day at a school: so many items walked round, so many inspected, and what the last took against the first."""

import time
from collections.abc import Callable, Sequence
from pathlib import Path
from statistics import median, quantiles
from typing import Final

from msgspec import Struct, field

from appreg.clock import local_today
from appreg.register.checking.checking import problems
from appreg.register.opening.register_file import open_register
from appreg.tasks.desk.confirm_cautions import confirm_cautions
from appreg.tasks.records.seed_categories import seed_categories
from tests.soak.soaked_program import SoakedProgram, Taken
from tests.ui.bench_register import LAMP, WHO, lay_table

ITEM: Final = "desk lamp"
READING: Final = ">299"
TOLD_EVERY: Final = 250
LOADED: Final = 10
"""Items after which a screen has loaded what it uses."""
FILLED: Final = 40
"""Items after which the list of the walk-round fills the screen; what all others use is loaded long before."""


class Soaked(Struct):
    """What a long day came to."""

    enters: list[Taken] = field(default_factory=list)
    """Of the walk-round: an item added."""
    saves: list[Taken] = field(default_factory=list)
    """Of the Bench: an inspection kept, the next item opened."""
    digits: list[Taken] = field(default_factory=list)
    """Of the Bench: the last digit of a reading."""
    held_early: float = 0.0
    """Megabytes once the first hundred were inspected."""
    held_late: float = 0.0
    stops: list[float] = field(default_factory=list)
    """Seconds of each step in which the program took no key for a while, from the eleventh item on."""
    problems: tuple[str, ...] = ()
    """What is wrong with the register afterwards."""

    @property
    def growth(self) -> dict[str, float]:
        """By what was done: the last hundred against the first, or tenths where it is a short day."""
        return {name: grown(taken) for name, taken in self._kinds().items()}

    @property
    def answers(self) -> "dict[str, Answers]":
        """By what was done: how long a person waited for what a key changed; the first ten load what they use."""
        return {name: answers_of([each.paused for each in taken[LOADED:]]) for name, taken in self._kinds().items()}

    @property
    def longest_stop(self) -> float:
        """The longest that the program stood still and took no key, ms."""
        return max(self.stops, default=0.0) * 1000

    @property
    def usual(self) -> dict[str, tuple[float, float]]:
        """By what was done: the median of work, and of waiting, ms."""
        return {
            name: (median(each.worked for each in taken) * 1000, median(each.waited for each in taken) * 1000)
            for name, taken in self._kinds().items()
        }

    @property
    def memory(self) -> float:
        """What it held at the end against what it held early."""
        return self.held_late / self.held_early

    def _kinds(self) -> dict[str, list[Taken]]:
        return {"enter": self.enters, "save": self.saves, "key": self.digits}


class Answers(Struct, frozen=True, kw_only=True):
    """From a key to the last byte of what it changed, ms."""

    usual: float
    """The median."""
    rare: float
    """One in a hundred takes longer."""
    worst: float


def answers_of(seconds: Sequence[float]) -> Answers:
    """The median, the 99th of a hundred, and the longest."""
    rare = quantiles(seconds, n=100, method="inclusive")[-1]
    return Answers(usual=median(seconds) * 1000, rare=rare * 1000, worst=max(seconds) * 1000)


def grown(taken: Sequence[Taken]) -> float:
    """The median of the last against that of the first, those left out before which a list of the screen is full.

    Each row more is drawn until then; from there on each Enter draws as many, so that like is held against like. A machine
    that is slower for minutes is so for what is always the same too, and what a key took is counted in that.
    """
    count = min(100, len(taken) // 3)
    before = min(FILLED, len(taken) // 4)
    first, last = taken[before : before + count], taken[-count:]
    return _in_yards(last) / _in_yards(first)


def _in_yards(taken: Sequence[Taken]) -> float:
    return median(each.worked for each in taken) / median(each.yard for each in taken)


def soak(folder: Path, items: int, inspections: int, tell: Callable[[str], object] = str) -> Soaked:
    """Walk round so many items, and inspect so many of them as passed; `tell` hears how far it has come."""
    path = folder / "school.sqlite"
    table = lay_table(path, ("Desk lamp", LAMP), on=local_today())
    seed_categories(table.register, WHO)
    table.register.close()
    soaked = Soaked()
    environ = {"APPREG_WHO": WHO, **dict.fromkeys(("HOME", "XDG_CONFIG_HOME", "XDG_STATE_HOME"), str(folder))}
    assert confirm_cautions(path, WHO, local_today(), environ)
    with SoakedProgram(path, environ=environ) as program:
        program.press("", "^ ?Sites")
        program.press("a", "^ ?Walk-round")
        for number in range(items):
            program.press(ITEM, rf"{ITEM}\s")
            soaked.enters.append(program.press("\r", rf"{number + 2} items so far"))
            if number == min(LOADED, items - 1):
                loaded = time.perf_counter()
            if number % TOLD_EVERY == TOLD_EVERY - 1:
                tell(
                    f"{number + 1} walked, an Enter by now {grown(soaked.enters):.2f} × the first, {program.held():.0f} MB"
                )
        program.press("\x1b", "^ ?Bench")
        for number in range(inspections):
            inspect(program, soaked)
            if number in {min(100, inspections // 3), inspections - 1}:
                soaked.held_early = soaked.held_early or program.held()
                soaked.held_late = program.held()
            if number % TOLD_EVERY == TOLD_EVERY - 1:
                tell(
                    f"{number + 1} inspected, a save by now {grown(soaked.saves):.2f} × the first, {program.held():.0f} MB"
                )
        left = time.perf_counter()
        program.write(b"\x11")
        while program.is_running():
            program.read(0.1)
    soaked.stops = [took for ended, took in program.stops if loaded < ended < left]
    with open_register(path) as register:
        soaked.problems = tuple(str(problem) for problem in problems(register))
    return soaked


def inspect(program: SoakedProgram, soaked: Soaked) -> None:
    """Pass the item at hand."""
    program.press(" ", "all 10 ok|all ok")
    program.press(READING[:-1], rf"{READING[:-1]}\s")
    soaked.digits.append(program.press(READING[-1], rf"{READING}\s"))
    program.press("\r", READING)
    program.press(" ", "enter keeps it")
    before = soaked.saves[-1].seen if soaked.saves else ""
    soaked.saves.append(program.press("\r", r"kept HR-\d+ pass", other=before))
