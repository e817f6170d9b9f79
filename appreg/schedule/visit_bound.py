"""How many visits are still needed at the very least: a bound that no plan can go below."""

from collections.abc import Sequence

from appreg.schedule.day_grid import NEVER, Window
from appreg.schedule.option_states import START, Option, PlanBoard, State

Chain = tuple[tuple[int, int], ...]
"""One after another, the last and first numbered day on which an inspection can fall."""

Standing = tuple[int, Window, Window]
"""A group with the windows of its next visual inspection and test."""


class VisitBound:
    """The larger of two bounds: the item with most inspections, and windows that do not overlap.

    The j-th inspection of an item lies between the j-th when each is made as early as it may be and the
    j-th when each is made as late: days that meet all those spans are no more than any plan has.
    """

    def __init__(self, board: PlanBoard) -> None:
        self._board = board
        self._begun_with: dict[tuple[int, int], tuple[Chain, int]] = {}
        self._known: dict[Standing, tuple[Chain, int]] = {}

    def visits_needed(self, state: State) -> int:
        """At least so many more visits."""
        begun = 0
        for option, mask in state.items():
            if option.visual != START or option.test != START:
                begun |= mask
        spans: set[tuple[int, int]] = set()
        longest = 0
        parts: dict[int, list[tuple[int, Window, Window]]] = {}
        for option, mask in state.items():
            both_wait = option.visual == START and option.test == START
            if both_wait:
                chain, length = self._untouched(option, mask & ~begun)
                longest = max(longest, length)
                spans.update(chain)
            for some, visual, test in self._board.next_windows(option, mask & begun if both_wait else mask):
                parts[option.group] = _widened(parts.get(option.group, []), some, visual, test)
        for group, alike in parts.items():
            for _, visual, test in alike:
                chain, length = self._spans_of((group, visual, test))
                longest = max(longest, length)
                spans.update(chain)
        met = 0
        latest = -1
        for last, first in sorted(spans):
            if first > latest:
                latest = last
                met += 1
        return max(met, longest)

    def _spans_of(self, standing: Standing) -> tuple[Chain, int]:
        """The spans of both lines, and the number of inspections of the longer one."""
        known = self._known.get(standing)
        if known is None:
            group, visual, test = standing
            tests = self._tests(group, test)
            visuals = self._visuals(group, visual, test.first)
            known = tuple({*tests, *visuals}), max(len(tests), len(visuals))
            self._known[standing] = known
        return known

    def _untouched(self, option: Option, mask: int) -> tuple[Chain, int]:
        """The spans of classes that stand where the plan began, by their set."""
        if (option.group, mask) not in self._begun_with:
            spans: set[tuple[int, int]] = set()
            longest = 0
            for _, visual, test in self._board.next_windows(option, mask):
                chain, length = self._spans_of((option.group, visual, test))
                longest = max(longest, length)
                spans.update(chain)
            self._begun_with[option.group, mask] = tuple(spans), longest
        return self._begun_with[option.group, mask]

    def _tests(self, group: int, window: Window) -> Chain:
        _, windows = self._board.group_windows(group)
        chain = []
        first, last = window
        while last != NEVER:
            chain.append((last, first))
            first = windows[first].first if first < len(windows) else NEVER
            last = windows[last].last
        return tuple(chain)

    def _visuals(self, group: int, window: Window, test_first: int) -> Chain:
        """Inspections of either kind, since a test is a visual inspection too.

        A test never lets a visual inspection come sooner, so the j-th of both kinds comes no sooner than
        the j-th of the two earliest courses taken together.
        """
        visual, test = self._board.group_windows(group)
        soonest = sorted([*_earliest(window.first, visual), *_earliest(test_first, test)])
        chain: list[tuple[int, int]] = []
        last = window.last
        while last != NEVER:
            chain.append((last, soonest[len(chain)]))
            last = visual[last].last
        return tuple(chain)


def _earliest(first: int, windows: Sequence[Window]) -> list[int]:
    days = []
    while first < len(windows):
        days.append(first)
        first = windows[first].first
    return days


def _widened(
    parts: list[tuple[int, Window, Window]], mask: int, visual: Window, test: Window
) -> list[tuple[int, Window, Window]]:
    """Split the parts so that the classes of the mask get their windows widened."""
    split = []
    for part in parts:
        both = part[0] & mask
        if not both:
            split.append(part)
            continue
        split.append((both, _hull(part[1], visual), _hull(part[2], test)))
        if both != part[0]:
            split.append((part[0] & ~mask, part[1], part[2]))
        mask &= ~both
    if mask:
        split.append((mask, visual, test))
    return split


def _hull(one: Window, other: Window) -> Window:
    return Window(min(one.first, other.first), max(one.last, other.last))
