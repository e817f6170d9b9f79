"""What can be true of every item after some visits, kept as sets so that no choice is made too soon.

Items that behave alike form a class, one bit each. An option says: these classes may have had their last
visual inspection on one numbered day and their last test on another. The days visited fix the options;
which of them an item takes is settled only when the plan is complete.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from typing import Final, NamedTuple

from msgspec import Struct

from appreg.core.values.periods import Period
from appreg.schedule.day_grid import NEVER, NOTHING_DUE, DayGrid, Window
from appreg.schedule.plan_items import PlanItem

START: Final = -1
"""The day of the last inspection before the plan begins."""


class Option(NamedTuple):
    """Where a group of items may stand."""

    group: int
    visual: int
    """Numbered day of the last visual inspection."""
    test: int
    """Numbered day of the last test."""


State = dict[Option, int]
"""By option: the classes (bits) for which it is open. Empty: nothing more is due."""


class _Group(Struct, frozen=True):
    visual: list[Window]
    test: list[Window]


class ItemClass(Struct, frozen=True):
    """Items of the same intervals whose first windows fall on the same numbered days."""

    group: int
    visual: Window
    test: Window
    keys: tuple[str, ...]


class PlanBoard:
    """The classes of a plan, and how visits change what can be true of them."""

    def __init__(
        self, items: Iterable[PlanItem], grid: DayGrid, firsts: Mapping[str, tuple[Window, Window]] | None = None
    ) -> None:
        """Make the board; `firsts` are, by key, first windows of both lines other than their due dates say."""
        self.grid = grid
        self._firsts = firsts or {}
        self.size: Final = len(grid.days)
        self._groups: list[_Group] = []
        self.classes: Sequence[ItemClass] = self._classified(items)
        days = range(self.size + 1)
        self._open_visual = _opened(self.size, [c.visual for c in self.classes])
        self._open_test = _opened(self.size, [c.test for c in self.classes])
        self._live_visual = _alive(days, [c.visual for c in self.classes])
        self._live_test = _alive(days, [c.test for c in self.classes])

    @cached_property
    def beginning(self) -> State:
        """Before the first visit; items on which nothing falls due are left out. Not to be changed."""
        state: State = {}
        for bit, member in enumerate(self.classes):
            if min(member.visual.last, member.test.last) != NEVER:
                option = Option(member.group, START, START)
                state[option] = state.get(option, 0) | 1 << bit
        return state

    def group_windows(self, group: int) -> tuple[list[Window], list[Window]]:
        """By numbered day: the windows after a visual inspection and after a test on that day."""
        return self._groups[group].visual, self._groups[group].test

    def next_windows(self, option: Option, mask: int) -> Iterator[tuple[int, Window, Window]]:
        """Classes under an option with the windows of their next visual inspection and next test."""
        group = self._groups[option.group]
        if START not in option[1:]:
            yield mask, group.visual[option.visual], group.test[option.test]
            return
        while mask:
            lowest = mask & -mask
            mask ^= lowest
            member = self.classes[lowest.bit_length() - 1]
            visual = member.visual if option.visual == START else group.visual[option.visual]
            yield lowest, visual, member.test if option.test == START else group.test[option.test]

    def hardest(self) -> int:
        """Classes whose first windows do not overlap: each needs a visit of its own."""
        chosen = 0
        latest = -1
        for bit, member in enumerate(self.classes):
            window = min(member.visual, member.test, key=lambda window: window.last)
            if window.last != NEVER and window.first > latest:
                latest = window.last
                chosen |= 1 << bit
        return chosen

    def unreached(self, days: Iterable[int]) -> int:
        """The classes (bits) that these visits alone would leave overdue when they need not be."""
        state = self.beginning
        missed = 0
        for day in days:
            before = _union(state.values())
            state, free = self._visited(state, day)
            missed |= before & ~_union(state.values()) & ~free
        return missed | _union(state.values())

    def deadline(self, state: State, after: int) -> int:
        """The last numbered day by which the next visit must be; NEVER where none is needed."""
        todo = _union(state.values())
        if not todo:
            return NEVER
        parts = [(self._fixed_end(option), option, mask) for option, mask in state.items()]
        low, high = after, self.size
        while high - low > 1:
            middle = (low + high) // 2
            if self._covered(parts, middle) == todo:
                low = middle
            else:
                high = middle
        return low

    def visited(self, state: State, day: int) -> State:
        """What can be true after a visit on a numbered day that is not after the deadline."""
        return self._visited(state, day)[0]

    def _visited(self, state: State, day: int) -> tuple[State, int]:
        """The options after a visit, and the classes on which nothing more falls due."""
        after: State = {}
        free = 0
        for option, mask in state.items():
            if self._fixed_end(option) < day:
                continue
            group = self._groups[option.group]
            live = self._still(option, mask, day)
            if not live:
                continue
            kept = self._still(option, live, day + 1) if self._fixed_end(option) > day else 0
            if kept:
                after[option] = after.get(option, 0) | kept
            tested = live & self._open_test[day] if option.test == START else live
            if tested and (option.test == START or group.test[option.test].first <= day):
                free |= self._add(after, Option(option.group, day, day), tested)
            looked = live & self._open_visual[day] if option.visual == START else live
            if looked and (option.visual == START or group.visual[option.visual].first <= day):
                free |= self._add(after, Option(option.group, day, option.test), looked)
        if free:
            after = {option: mask & ~free for option, mask in after.items() if mask & ~free}
        return after, free

    def _add(self, after: State, option: Option, mask: int) -> int:
        """Open an option; returns the classes on which nothing more falls due by it."""
        free = self._free(option, mask)
        after[option] = after.get(option, 0) | mask
        return free

    def _free(self, option: Option, mask: int) -> int:
        if self._fixed_end(option) != NEVER:
            return 0
        free = mask
        if option.visual == START:
            free &= self._live_visual[self.size]
        if option.test == START:
            free &= self._live_test[self.size]
        return free

    def _fixed_end(self, option: Option) -> int:
        group = self._groups[option.group]
        visual = NEVER if option.visual == START else group.visual[option.visual].last
        test = NEVER if option.test == START else group.test[option.test].last
        return min(visual, test)

    def _still(self, option: Option, mask: int, day: int) -> int:
        """The classes whose first windows, where the option still rests on them, do not end before the day."""
        if option.visual == START:
            mask &= self._live_visual[day]
        if option.test == START:
            mask &= self._live_test[day]
        return mask

    def _covered(self, parts: Sequence[tuple[int, Option, int]], day: int) -> int:
        return _union(self._still(option, mask, day) for end, option, mask in parts if end >= day)

    def _classified(self, items: Iterable[PlanItem]) -> list[ItemClass]:
        groups: dict[tuple[Period | None, Period | None], int] = {}
        members: dict[tuple[int, Window, Window], list[str]] = {}
        later: dict[Period, list[Window]] = {}
        for item in items:
            periods = tuple(line.period if line else None for line in (item.visual, item.test))
            pair = (periods[0], periods[1])
            if pair not in groups:
                groups[pair] = len(groups)
                self._groups.append(_Group(*(self._later(period, later) for period in pair)))
            visual, test = self._firsts.get(item.key) or self._first_windows(item)
            members.setdefault((groups[pair], visual, test), []).append(item.key)
        ordered = sorted(members.items(), key=lambda member: (min(member[0][1].last, member[0][2].last), member[0]))
        return [ItemClass(*place, keys=tuple(keys)) for place, keys in ordered]

    def _first_windows(self, item: PlanItem) -> tuple[Window, Window]:
        visual, test = (self.grid.first_window(line) if line else NOTHING_DUE for line in (item.visual, item.test))
        return visual, test

    def _later(self, period: Period | None, known: dict[Period, list[Window]]) -> list[Window]:
        if period is None:
            return [NOTHING_DUE] * self.size
        if period not in known:
            known[period] = self.grid.later_windows(period)
        return known[period]


def _union(masks: Iterable[int]) -> int:
    whole = 0
    for mask in masks:
        whole |= mask
    return whole


def _opened(size: int, windows: Sequence[Window]) -> list[int]:
    """By day: the classes whose first window has begun."""
    begins = [0] * (size + 1)
    for bit, window in enumerate(windows):
        if window.first < size:
            begins[window.first] |= 1 << bit
    for day in range(1, size + 1):
        begins[day] |= begins[day - 1]
    return begins


def _alive(days: range, windows: Sequence[Window]) -> list[int]:
    """By day: the classes whose first window has not ended before it."""
    ends = [0] * len(days)
    always = 0
    for bit, window in enumerate(windows):
        if window.last < len(days):
            ends[window.last] |= 1 << bit
        else:
            always |= 1 << bit
    live = always
    for day in reversed(days):
        live |= ends[day]
        ends[day] = live
    return ends
