"""The fewest visits that keep nothing overdue, as far as a bounded search can tell.

A beam search over the days visited, level by level in the number of visits. It begins with a few classes
of items and adds those that its plan would leave overdue, so that large sites stay small problems. What
it leaves unexplored is kept as a lower bound: where the bound equals the plan, the plan is optimal.
"""

from collections.abc import Iterable, Sequence
from typing import Final, NamedTuple

from msgspec import Struct

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


class Breadth(NamedTuple):
    """How many plans are kept at each level: of all, and of those whose last visit is on the same day."""

    plans: int
    a_day: int


NARROW: Final = (Breadth(6, 1),)
WIDE: Final = (Breadth(24, 1), Breadth(64, 2), Breadth(160, 4), Breadth(480, 12))
"""Search after search, while the bound is not met; one plan a day keeps the plans unlike each other."""
EFFORT: Final = 90_000
"""Plans under way, each times its classes, that are looked at before the search is content."""
_FIXED_WEIGHT: Final = 4
MOST_SPARE: Final = 2
"""A patched plan that is longer than the best by more is not worth thinning out."""
MOST_EQUALS: Final = 8
"""Plans of equally few visits that are kept to choose from."""
MOST_ROUNDS: Final = 40
"""Times that classes are added before the search settles for all of them."""


class FoundVisits(Struct, frozen=True):
    """A plan as numbered days, with the number of visits that no plan can go below."""

    plans: tuple[tuple[int, ...], ...]
    """Plans of equally few visits, each as numbered days; at least one."""
    bound: int

    @property
    def visits(self) -> int:
        """How many visits each of the plans has."""
        return len(self.plans[0])


class _Partial(NamedTuple):
    """A plan under way; compared by what it still needs, then by how long it can wait."""

    needed: int
    waits: int
    days: tuple[int, ...]
    state: State

    @property
    def day(self) -> int:
        return self.days[-1] if self.days else -1


def find_visits(board: PlanBoard, effort: int = EFFORT) -> FoundVisits:
    """The fewest visits found within the effort given, and the bound proven on the way."""
    whole = board.beginning
    best = [visits_when_due(board, whole)]
    bound = 0
    beams: list[_Beam] = []
    chosen = _first_of_each_option(whole) | board.hardest()
    for _ in range(MOST_ROUNDS):
        beam = _Beam(board, _restricted(whole, chosen))
        effort -= beam.search(NARROW, effort)
        beams.append(beam)
        bound = max(bound, beam.bound)
        missed = board.unreached(beam.best)
        best = _better(board, best, beam)
        if not missed or bound >= len(best[0]) or effort <= 0:
            break
        chosen |= _first_of_each_option(_restricted(whole, missed))
    for beam in _worth_more(beams):
        if bound >= len(best[0]) or effort <= 0:
            break
        if len(beam.best) <= bound:
            continue
        effort -= beam.search(WIDE, effort)
        bound = max(bound, beam.bound)
        best = _better(board, best, beam)
    return FoundVisits(plans=tuple(best), bound=min(bound, len(best[0])))


def _better(board: PlanBoard, best: list[tuple[int, ...]], beam: "_Beam") -> list[tuple[int, ...]]:
    """The shortest of the plans had so far and those of a beam, made good for every class."""
    plans = [*best, *(_patched(board, days, len(best[0])) for days in (beam.best, *beam.equals))]
    fewest = min(len(days) for days in plans)
    return list(dict.fromkeys(days for days in plans if len(days) == fewest))[:MOST_EQUALS]


def _patched(board: PlanBoard, days: tuple[int, ...], fewest: int) -> tuple[int, ...]:
    """A plan made good for every class: visits put in where something would go overdue, spare ones left out."""
    if not board.unreached(days):
        return days
    planned = sorted(days, reverse=True)
    state = board.beginning
    made: list[int] = []
    while (last := board.deadline(state, made[-1] if made else -1)) != NEVER:
        made.append(planned.pop() if planned and planned[-1] <= last else last)
        while planned and planned[-1] <= made[-1]:
            planned.pop()
        state = board.visited(state, made[-1])
    for day in made[::-1] if len(made) <= fewest + MOST_SPARE else ():
        fewer = [other for other in made if other != day]
        if not board.unreached(fewer):
            made = fewer
    return tuple(made)


def _worth_more(beams: list["_Beam"]) -> list["_Beam"]:
    """The smallest problem that already needs as many visits first: proving it proves the plan; then the largest."""
    most = max(len(beam.best) for beam in beams)
    hard = [beam for beam in beams if len(beam.best) == most]
    return list(dict.fromkeys((hard[0], beams[-1], *hard)))


def visits_when_due(board: PlanBoard, state: State) -> tuple[int, ...]:
    """Always wait for the last possible day, and do everything that may be done then."""
    days: list[int] = []
    while (day := board.deadline(state, days[-1] if days else -1)) != NEVER:
        state = board.visited(state, day)
        days.append(day)
    return tuple(days)


class _Beam:
    """One search, repeated with more and more plans kept at each level."""

    def __init__(self, board: PlanBoard, start: State) -> None:
        self._board = board
        self._visits = VisitBound(board)
        self._start = start
        self._left = 0
        self._weight = _FIXED_WEIGHT + sum(mask.bit_count() for mask in start.values())
        self.best = visits_when_due(board, start)
        self.equals: list[tuple[int, ...]] = []
        self.bound = self._visits.visits_needed(start)

    def search(self, breadths: Iterable[Breadth], effort: int) -> int:
        """Search until the bound is met or the effort spent; returns the effort it took."""
        self._left = effort
        for breadth in breadths:
            if self.bound >= len(self.best) or self._left <= 0:
                break
            self._search(breadth)
        return effort - self._left

    def _search(self, breadth: Breadth) -> None:
        """Search once; may better the plan, the bound, or both."""
        level = [_Partial(self.bound, 0, (), self._start)]
        dropped = len(self.best)
        visits = 0
        while level:
            ended = [partial for partial in level if not partial.state]
            if ended:
                self.best = ended[0].days
                self.equals = [partial.days for partial in ended[1:MOST_EQUALS]]
                dropped = min(dropped, visits)
                break
            visits += 1
            following, skipped_need = self._next_level(level, visits, breadth)
            level, dropped_need = _kept(following, breadth)
            dropped = min(dropped, skipped_need, visits + dropped_need)
        self.bound = max(self.bound, min(dropped, len(self.best)))

    def _next_level(self, level: list[_Partial], visits: int, breadth: Breadth) -> tuple[list[_Partial], int]:
        """Every plan with one visit more that can still better the best, and what skipped ones need at least."""
        following: dict[tuple[tuple[object, int], ...], _Partial] = {}
        least_skipped = len(self.best)
        for partial in level:
            days, all_days = self._candidates(partial, breadth)
            if self._left <= 0 or not all_days:
                least_skipped = min(least_skipped, visits - 1 + partial.needed)
            if self._left <= 0:
                continue
            self._left -= len(days) * self._weight
            for day in days:
                state = self._board.visited(partial.state, day)
                key = tuple(sorted(state.items()))
                if key in following:
                    continue
                needed = max(self._visits.visits_needed(state), partial.needed - 1)
                if visits + needed < len(self.best):
                    waits = -self._board.deadline(state, day)
                    following[key] = _Partial(needed, waits, (*partial.days, day), state)
        return list(following.values()), least_skipped

    def _candidates(self, partial: _Partial, breadth: Breadth) -> tuple[range, bool]:
        last = self._board.deadline(partial.state, partial.day)
        first = partial.day + 1
        step = 1 if breadth.plans >= WIDE[1].plans else 1 + (last - first) // (2 * breadth.plans)
        return range(last, first - 1, -step), step == 1


def _kept(following: list[_Partial], breadth: Breadth) -> tuple[list[_Partial], int]:
    """The most promising plans, and the least that any of the others still needs."""
    kept: list[_Partial] = []
    dropped_need = NEVER
    on_day: dict[int, int] = {}
    for partial in sorted(following):
        if len(kept) < breadth.plans and on_day.get(partial.day, 0) < breadth.a_day:
            on_day[partial.day] = on_day.get(partial.day, 0) + 1
            kept.append(partial)
        else:
            dropped_need = min(dropped_need, partial.needed)
    return kept, dropped_need


def _first_of_each_option(state: State) -> int:
    """Of the classes under each option the one that must be seen soonest."""
    chosen = 0
    for mask in state.values():
        chosen |= mask & -mask
    return chosen


def _restricted(state: State, classes: int) -> State:
    return {option: mask & classes for option, mask in state.items() if mask & classes}
