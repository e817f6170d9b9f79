"""Words for every command and option there is, taken from the parsers themselves: right, at the edge, and hostile."""

import argparse
from collections.abc import Callable, Sequence
from importlib import import_module
from random import Random
from typing import Final

from appreg.cli.commands import COMMANDS
from appreg.cli.words_parser import parser_for
from tests.campaign.small_world import words_of_people

_DATES: Final = (
    "2026-11-24", "2025-11-24", "2027-01-01", "0001-01-01", "9999-12-31", "1900-01-01", "2200-12-31", "2024-02-29",
    "2025-02-29", "26-1-1", "2026-11-24T00:00", "٢٠٢٦-١١-٢٤", "today",
)  # fmt: skip
_NUMBERS: Final = (
    "0", "1", "3", "24", "30", "20", "21", "365", "480", "999999999", "999999999999", "1" + "0" * 30, "1e3", "1e999",
    "-1", "+1", "0.5", "nan", "inf", "٣", "1_000", "0x10", " 5 ", "25%", "99", "100", "2.5%", "99.999999", "0.000001",
)  # fmt: skip
_READINGS: Final = (
    "0.08", "<0.05", ">299", "85 mΩ", "OL", "ok", "bad", "none", "0.12", "1e999", "-0.1", "nan", "0", "0.0", "1,5",
    "1x=28", "0.5x=none", "1x=", "=28", "5x=1e400", "9" * 500, "0." + "0" * 400 + "1", ">OL", "<", "Ω", "10 kV", "16",
    "0.75", "1.5", "30", "13", "500", "250", "1E+400", "1e-400", "±2% + 3 digits", "2 % + 5 d", "simple", "guarded",
)  # fmt: skip
_RULES: Final = (
    "FREQ=WEEKLY;BYDAY=TU,TH", "FREQ=MONTHLY;BYDAY=1WE", "FREQ=YEARLY;BYMONTHDAY=30;BYMONTH=2", "FREQ=SECONDLY",
    "FREQ=DAILY;INTERVAL=999999", "FREQ=YEARLY;BYYEARDAY=-366", "FREQ=YEARLY;BYWEEKNO=53", "RRULE:FREQ=DAILY;COUNT=1",
    "FREQ=WEEKLY;UNTIL=00010101", "FREQ=MONTHLY;BYSETPOS=-1;BYDAY=MO", "FREQ=MONTHLY;BYDAY=0MO", "FREQ=", ";;;",
)  # fmt: skip
_PERIODS: Final = ("P6M", "P2Y", "P999Y", "P9999M", "P99999D", "P0D", "P", "P1Y6M", "-P1Y", "P1.5Y", "p6m")
_CLOSURES: Final = (
    "2026-12-20/2027-01-05", "2026-12-20", "0001-01-01/0001-01-01", "9999-12-31/9999-12-31", "2027-01-05/2026-12-20",
    "/", "2026-12-20/", "0001-01-01/9999-12-31",
)  # fmt: skip
_FILES: Final = (
    "overlay.toml", "own.toml", "minutes.toml", "holidays.txt", "holidays.ics", "settings.toml", "bytes.bin", "folder",
    ".", "", "-", "missing.toml", "missing/x", "kept.pdf", "register.sqlite", "damaged.sqlite", "x" * 300, "a\0b",
    "half \udcff.toml", "~", "~nobody-of-that-name/x", "folder/",
)  # fmt: skip
_OUTPUTS: Final = (
    "new.pdf", "kept.pdf", "register.sqlite", "register.sqlite-wal", "register.sqlite-shm", "folder", ".", "", "-", "/",
    "..", "missing/x.pdf", "x" * 251 + ".pdf", "x" * 300, "a\0b", "half \udcff.pdf", "folder/new.pdf", "damaged.sqlite",
)  # fmt: skip
_NAMES: Final = (
    "gb", "eu", "anz", "public", "office", "school", "low-risk", "high-risk", "1", "2", "3", "II", "unknown", "portable",
    "hand-held", "lead", "gb-review", "P1Y", "industrial", "a4-24", "a4-40", "a4-65", "general", "own.toml",
)  # fmt: skip


class Grammar:
    """The commands with their options, and a random number that chooses among the words."""

    def __init__(self, random: Random) -> None:
        self._random = random
        self._calm = False
        self._people = words_of_people()
        self._actions = {name: _actions(name) for name in COMMANDS}

    def words(self) -> list[str]:
        """One command with some of its options, mostly whole, sometimes not."""
        name = self._random.choice([each for each in COMMANDS if each != "demo"])
        self._calm = self._random.random() < 0.5
        words = [name]
        for action in self._actions[name]:
            if not action.option_strings:
                words += self._positional(action)
            elif action.required or self._random.random() < (0.15 if self._calm else 0.3):
                words += self._option(action)
        if self._random.random() < 0.05:
            words = ["--register", self._random.choice(("damaged.sqlite", *_FILES)), *words]
        return self._mangled(words) if self._random.random() < 0.1 else words

    def _positional(self, action: argparse.Action) -> list[str]:
        count = self._random.choice((1, 1, 2)) if action.nargs == "+" else 1
        if action.nargs in {"?", "*"} and self._random.random() < 0.5:
            return []
        return [self._value(action) for _ in range(count)]

    def _option(self, action: argparse.Action) -> list[str]:
        option = self._random.choice(action.option_strings)
        if action.nargs == 0:
            return [option]
        value = self._value(action)
        return [f"{option}={value}"] if option.startswith("--") and self._random.random() < 0.5 else [option, value]

    def _value(self, action: argparse.Action) -> str:
        """A word that suits the option, or, now and then, any at all."""
        if self._random.random() < (0.02 if self._calm else 1 / 6):
            return self._random.choice((*self._people, *_NUMBERS, *_DATES, *_READINGS, *_RULES))
        if action.choices:
            return str(self._random.choice(list(action.choices)))
        return self._random.choice(self._suited(action))

    def _suited(self, action: argparse.Action) -> Sequence[str]:
        kind = getattr(action.type, "__name__", "")
        if action.dest in {"output", "ics"}:
            return _OUTPUTS
        if kind == "Path":
            return _FILES
        if kind == "day":
            return _DATES
        if kind in {"whole_number", "percent", "percent_share"}:
            return _NUMBERS
        by_name: dict[str, Sequence[str]] = {
            "days": _RULES, "closed": _CLOSURES, "if_visual": _PERIODS, "if_test": _PERIODS, "tag": self._people,
            "text": self._people, "site": self._people, "note": self._people, "visit": (*self._people, *_DATES),
        }  # fmt: skip
        by_form: dict[str, Sequence[str]] = {
            "READING": _READINGS[:9] if self._calm else _READINGS, "ok|bad": ("ok", "bad"), "CLASS": ("1", "2", "3", "II"),
            "TYPE": ("portable", "lead", "hand-held", "fixed"), "TIMES=MS": ("1x=28", "0.5x=none", "5x=20", "1x=OL"),
        }  # fmt: skip
        known = by_name.get(action.dest) or by_form.get(str(action.metavar))
        return known[:5] if known is self._people and self._calm else known or (*_NAMES, *_NUMBERS[:7], *_READINGS[:9])

    def _mangled(self, words: list[str]) -> list[str]:
        """The same with a word lost, doubled, exchanged or replaced; never without a command."""
        ways: tuple[Callable[[int], list[str]], ...] = (
            lambda at: words[:at] + words[at + 1 :],
            lambda at: [*words[:at], words[at], *words[at:]],
            lambda at: [*words[:at], self._random.choice(self._people), *words[at + 1 :]],
            lambda at: [*words[:at], self._random.choice(("--json", "--force", "-h", "--", "--no-such")), *words[at:]],
        )
        return self._random.choice(ways)(self._random.randrange(1, len(words) + 1) - 1) or ["due"]


def _actions(name: str) -> list[argparse.Action]:
    parser = argparse.ArgumentParser()
    parser_for([name], COMMANDS, import_module(COMMANDS[name][0]).add_options)
    import_module(COMMANDS[name][0]).add_options(parser)
    return [action for action in parser._actions if action.dest != "help"]
