"""The days on which a site can be visited, numbered, and the windows of inspections among them."""

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from datetime import date
from functools import cached_property
from typing import Final, NamedTuple

from msgspec import Struct

from appreg.core.values.periods import Period
from appreg.schedule.due_dates import date_after
from appreg.schedule.plan_items import PlanLine, tolerance_days

NEVER: Final = 1 << 30
"""The number of a day after every other: nothing is due before the horizon."""


class Window(NamedTuple):
    """The first and last numbered day on which an inspection is best made."""

    first: int
    last: int


NOTHING_DUE: Final = Window(NEVER, NEVER)


class DayGrid(Struct, frozen=True, kw_only=True, dict=True):
    """The allowed days from the start of a plan to its horizon, in order."""

    start: date
    end: date
    """The horizon: what falls due later needs no visit."""
    days: Sequence[date]
    """Allowed days within start and end, ascending."""
    tolerance_percent: int
    """How early an inspection may be made, percent of its interval."""

    @cached_property
    def ordinals(self) -> list[int]:
        """The allowed days as proleptic ordinals."""
        return [day.toordinal() for day in self.days]

    def has_no_day_for(self, due: date | None) -> bool:
        """Tell whether something falls due within the plan, or was never done, and there is no day at all to go."""
        return not self.days and (due is None or due <= self.end)

    def first_window(self, line: PlanLine) -> Window:
        """The window of a line's next due date; at once where it is overdue or was never inspected."""
        before = self.start.toordinal() - 1
        due = line.due.toordinal() if line.due else before
        return self._window(before, due, tolerance_days(line.period, self.tolerance_percent))

    def later_windows(self, period: Period) -> list[Window]:
        """By numbered day: the window after an inspection made on that day."""
        tolerance = tolerance_days(period, self.tolerance_percent)
        return [
            self._window(ordinal, date_after(day, period).toordinal(), tolerance)
            for day, ordinal in zip(self.days, self.ordinals, strict=True)
        ]

    def window_after(self, done: date, period: Period) -> Window:
        """The window after an inspection made on any day, allowed or not."""
        due = date_after(done, period).toordinal()
        return self._window(done.toordinal(), due, tolerance_days(period, self.tolerance_percent))

    def hasty_days(self, done: date, period: Period) -> int:
        """How many days before its tolerance the next inspection has to be, as none of the days it allows is open."""
        last = self.window_after(done, period).last
        if last == NEVER:
            return 0
        begins = date_after(done, period).toordinal() - tolerance_days(period, self.tolerance_percent)
        return max(0, begins - self.ordinals[last])

    def _window(self, done: int, due: int, tolerance: int) -> Window:
        if due > self.end.toordinal():
            return NOTHING_DUE
        first = bisect_left(self.ordinals, max(done + 1, due - tolerance))
        last = bisect_right(self.ordinals, due) - 1
        if first <= last:
            return Window(first, last)
        # No allowed day within the tolerance: the last before the due date, or else the first after it.
        following = bisect_right(self.ordinals, done)
        day = last if last >= following else last + 1
        return Window(day, day) if day < len(self.ordinals) else NOTHING_DUE
