"""What the app keeps an eye on while it runs: the day that turns, and a clock that contradicts the journal."""

from collections.abc import Callable
from datetime import date
from typing import Final

from appreg.clock import Clock
from appreg.core.values.dates_in_words import date_words
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.doubt_clock import clock_ahead, clock_behind

LOOKS_EVERY: Final = 20.0
"""Seconds from one look at the day to the next."""
FOLLOWS_EVERY: Final = 1.0
"""Seconds from one look at what others save to the next."""


class TimeWatch:
    """Knows the present day and what has been said of the time; a day that is given, not asked for, never turns."""

    def __init__(self, register: Register, today: date | Callable[[], date], clock: Clock) -> None:
        self._register = register
        self._ask = today if callable(today) else None
        self._told = today() if callable(today) else today
        """The day that was told, or that the work began on."""
        self._clock = clock
        self._ahead = clock_ahead(register.last_instant(), clock()) if self._ask else ""
        self._behind_said = False

    @property
    def is_live(self) -> bool:
        """The day is asked for anew each time."""
        return self._ask is not None

    def present_day(self) -> date:
        """Today."""
        return self._ask() if self._ask is not None else self._told

    def turned(self) -> str:
        """What to say where the day is another than the one told last; empty where it is the same."""
        now = self.present_day()
        if now == self._told:
            return ""
        self._told = now
        return f"It is {date_words(now)} now: lists and new records go by that day."

    def saved(self) -> tuple[str, ...]:
        """What to say of the clock once something is saved: what was said at the start again, and a clock set back."""
        if not self.is_live:
            return ()
        behind = clock_behind(self._register.last_instant(), self._clock())
        known, self._behind_said = self._behind_said, bool(behind)
        ahead, self._ahead = self._ahead, ""
        return tuple(sentence for sentence in (ahead, "" if known else behind) if sentence)
