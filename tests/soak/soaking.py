"""A long day at a school: so many items walked round, so many inspected, and what the last took against the first.

Both in the same minutes: a machine is not as fast in one quarter of an hour as in the next. So while the day does its last
hundred, a program that has just been started does a first hundred, on the register as it was then, key and key about.
"""

import sqlite3
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing
from pathlib import Path
from statistics import median, quantiles
from typing import Final

from msgspec import Struct, field

from appreg.clock import local_today
from appreg.register.checking.checking import problems
from appreg.register.opening.register_file import open_register
from appreg.tasks.desk.confirm_cautions import confirm_cautions
from appreg.tasks.records.seed_categories import seed_categories
from tests.soak.machine_witness import MachineWitness, Span, overlap
from tests.soak.soaked_program import SoakedProgram, Stop, Taken
from tests.ui.bench_register import LAMP, WHO, lay_table

ITEM: Final = "desk lamp"
READING: Final = ">299"
TOLD_EVERY: Final = 250
COMPARED: Final = 100
"""The last so many items against the first."""
LOADED: Final = 10
"""Items after which a screen has loaded what it uses."""
FILLED: Final = 40
"""Items after which the list of the walk-round fills the screen; what all others use is loaded long before.

Each row more is drawn until then; from there on each Enter draws as many, so that like is held against like.
"""


class Keys(Struct):
    """What the keys of a program took."""

    enters: list[Taken] = field(default_factory=list)
    """Of the walk-round: an item added."""
    saves: list[Taken] = field(default_factory=list)
    """Of the Bench: an inspection kept, the next item opened."""
    digits: list[Taken] = field(default_factory=list)
    """Of the Bench: the last digit of a reading."""

    def by_name(self) -> dict[str, list[Taken]]:
        """What was done, and what it took."""
        return {"enter": self.enters, "save": self.saves, "key": self.digits}


class Soaked(Struct):
    """What a long day came to."""

    day: Keys = field(default_factory=Keys)
    first: Keys = field(default_factory=Keys)
    """Of a program that has just been started, done in turns with the last of the day."""
    held_early: float = 0.0
    """Megabytes once the first hundred were inspected."""
    held_late: float = 0.0
    stops: list[Stop] = field(default_factory=list)
    """Each step in which the program took no key for a while, from the eleventh item on."""
    machine: list[Span] = field(default_factory=list)
    """When the machine stood still, and with it whatever ran on it."""
    problems: tuple[str, ...] = ()
    """What is wrong with the register afterwards."""

    @property
    def growth(self) -> dict[str, float]:
        """By what was done: the last of the day against the first that were done beside them."""
        first = self.first.by_name()
        return {name: grown(first[name], taken) for name, taken in self.day.by_name().items()}

    @property
    def answers(self) -> "dict[str, Answers]":
        """By what was done: how long a person waited for what a key changed; the first ten load what they use."""
        return {
            name: answers_of([each.paused for each in taken[LOADED:]]) for name, taken in self.day.by_name().items()
        }

    @property
    def longest_stop(self) -> float:
        """The longest that the program stood still and took no key, ms; without what it waited while the machine stood still."""
        return max(map(self.own, self.stops), default=0.0) * 1000

    def own(self, stop: Stop) -> float:
        """Seconds that a stop would have taken on a machine that never stands still."""
        machine = overlap(stop.ended - stop.took, stop.ended, self.machine)
        return max(stop.took - machine, stop.worked)

    @property
    def usual(self) -> dict[str, tuple[float, float]]:
        """By what was done: the median of work, and of waiting, ms."""
        return {
            name: (median(each.worked for each in taken) * 1000, median(each.waited for each in taken) * 1000)
            for name, taken in self.day.by_name().items()
        }

    @property
    def memory(self) -> float:
        """What it held at the end against what it held early."""
        return self.held_late / self.held_early


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


def grown(first: Sequence[Taken], taken: Sequence[Taken]) -> float:
    """The median of work of the last against that of as many first."""
    return median(each.worked for each in taken[-len(first) :]) / median(each.worked for each in first)


def soak(folder: Path, items: int, inspections: int, tell: Callable[[str], object] = str, *, rest: float = 0) -> Soaked:
    """Walk round so many items, and inspect so many of them as passed; `tell` hears how far it has come.

    Before, nobody types for `rest` seconds.
    """
    path = folder / "school.sqlite"
    table = lay_table(path, ("Desk lamp", LAMP), on=local_today())
    seed_categories(table.register, WHO)
    table.register.close()
    morning, noon = copied(path, folder / "morning.sqlite"), folder / "noon.sqlite"
    environ = {"APPREG_WHO": WHO, **dict.fromkeys(("HOME", "XDG_CONFIG_HOME", "XDG_STATE_HOME"), str(folder))}
    assert confirm_cautions(path, WHO, local_today(), environ)
    soaked = Soaked()
    last = min(COMPARED, items // 3, inspections // 3)
    with MachineWitness(folder) as witness, SoakedProgram(path, environ=environ) as program:
        day = Walker(program, soaked.day)
        day.walk_round()
        program.rest(rest)
        for number in tellingly(items - last, "walked round", tell):
            day.add()
            if number == min(LOADED, items - last - 1):
                loaded = time.perf_counter()
        with SoakedProgram(morning, environ=environ) as other:
            add_in_turns(day, Walker(other, soaked.first), last, before=min(FILLED, items // 4))
        day.leave_the_round()
        copied(path, noon)
        for number in tellingly(inspections - last, "inspected", tell):
            day.inspect()
            if number == min(COMPARED, inspections - last - 1):
                soaked.held_early = program.held()
        with SoakedProgram(noon, environ=environ) as other:
            inspect_in_turns(day, Walker(other, soaked.first), last, before=min(LOADED, inspections // 4))
        soaked.held_late = program.held()
        left = time.perf_counter()
        program.write(b"\x11")
        while program.is_running():
            program.read(0.1)
    soaked.stops = [stop for stop in program.stops if loaded < stop.ended < left]
    soaked.machine = witness.spans
    with open_register(path) as register:
        soaked.problems = tuple(str(problem) for problem in problems(register))
    return soaked


def add_in_turns(day: "Walker", beside: "Walker", count: int, *, before: int) -> None:
    """Add the last so many items of a day, and as many on the morning of another, which so many go before uncounted."""
    beside.walk_round()
    for _ in range(before):
        beside.add()
    beside.keys.enters.clear()
    for _ in range(count):
        day.add()
        beside.add()


def inspect_in_turns(day: "Walker", beside: "Walker", count: int, *, before: int) -> None:
    """Inspect the last so many items of a day, and the first of another, which so many go before uncounted."""
    beside.sit_down()
    for _ in range(before):
        beside.inspect()
    beside.keys.saves.clear()
    beside.keys.digits.clear()
    for _ in range(count):
        day.inspect()
        beside.inspect()


def tellingly(count: int, done: str, tell: Callable[[str], object]) -> Iterator[int]:
    """Count, and tell now and then how far it has come."""
    for number in range(count):
        yield number
        if number % TOLD_EVERY == TOLD_EVERY - 1:
            tell(f"{number + 1} {done}")


def copied(register: Path, to: Path) -> Path:
    """Another register of the same records, whoever has this one open; where it is."""
    with closing(sqlite3.connect(register)) as one, closing(sqlite3.connect(to)) as other:
        one.backup(other)
    return to


class Walker:
    """Whoever sits before a program, and what the keys took."""

    def __init__(self, program: SoakedProgram, keys: Keys) -> None:
        self.keys = keys
        self._program = program
        self._items = 1
        self._kept = ""
        """What the strip said of the inspection before."""

    def walk_round(self) -> None:
        """Come to the walk-round."""
        self._program.press("", "^ ?Sites")
        self._program.press("a", "^ ?Walk-round")

    def add(self) -> None:
        """Add one more item."""
        self._items += 1
        self._program.press(ITEM, rf"{ITEM}\s")
        self.keys.enters.append(self._program.press("\r", rf"{self._items} items so far"))

    def leave_the_round(self) -> None:
        """Go from the walk-round to the Bench."""
        self._program.press("\x1b", "^ ?Bench")

    def sit_down(self) -> None:
        """Come to the Bench."""
        self._program.press("", "^ ?Sites")
        self._program.press("v", "^ ?Bench")

    def inspect(self) -> None:
        """Pass the item at hand."""
        self._program.press(" ", "all 10 ok|all ok")
        self._program.press(READING[:-1], rf"{READING[:-1]}\s")
        self.keys.digits.append(self._program.press(READING[-1], rf"{READING}\s"))
        self._program.press("\r", READING)
        self._program.press(" ", "enter keeps it")
        kept = self._program.press("\r", r"kept HR-\d+ pass", other=self._kept)
        self._kept = kept.seen
        self.keys.saves.append(kept)
