"""Days to go as people type them, `tue, thu`, or as a rule of RFC 5545; and the same in words."""

import re
from typing import Final

from appreg.schedule.visiting_days import WORKDAYS

_DAYS: Final = {"MO": "Mon", "TU": "Tue", "WE": "Wed", "TH": "Thu", "FR": "Fri", "SA": "Sat", "SU": "Sun"}
_NAMES: Final = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_LEAST: Final = 3
"""Letters without which a name is not taken for a day."""
_TO: Final = re.compile(r"\s*[-\u2013]\s*")
"""From one day to another."""


def rule_in_words(rule: str) -> str:
    """A weekly rule as its days, any other as it is written."""
    names = (rule or WORKDAYS).upper().removeprefix("RRULE:").removeprefix("FREQ=WEEKLY;BYDAY=").split(",")
    if all(name in _DAYS for name in names):
        return "Mon-Fri" if ",".join(names) == "MO,TU,WE,TH,FR" else ", ".join(_DAYS[name] for name in names)
    return rule


def rule_typed(text: str) -> str:
    """A rule, or days as people write them ('tue, thu', 'mon-fri'), as RFC 5545 has it."""
    spans = [_span(word) for word in _TO.sub("-", text.replace(",", " ")).split()]
    if not spans or not all(spans):
        return text.strip()
    return f"FREQ=WEEKLY;BYDAY={','.join(dict.fromkeys(code for span in spans for code in span))}"


def _span(word: str) -> list[str]:
    """The days of 'tue' or of 'fri-mon', as codes; none where it names no days."""
    first, dash, last = word.partition("-")
    start, end = _place(first), _place(last if dash else first)
    if start is None or end is None:
        return []
    codes = [*_DAYS]
    return [codes[(start + step) % len(codes)] for step in range((end - start) % len(codes) + 1)]


def _place(name: str) -> int | None:
    """Which day of the week a name is, written out or cut after three letters or more."""
    word = name.casefold()
    word = "wed" if word == "weds" else word
    return next((place for place, day in enumerate(_NAMES) if len(word) >= _LEAST and day.startswith(word)), None)
