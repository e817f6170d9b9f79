"""The best route of an item that meets every window, or none: asked for so often that it is written for speed.

The same shortest path as in `crew_routes`, which also tells what to do where no route meets every window.
"""

from bisect import bisect_left, bisect_right
from typing import Final

from appreg.schedule.crew_board import ItemNumbers, Span
from appreg.schedule.crew_calendar import AreaDays, Outing
from appreg.schedule.day_grid import NEVER
from appreg.schedule.plan_items import LineKind

HASTY: Final = 1e8
"""What a day before the tolerance weighs, against a day early."""
JOINED: Final = 1e6
"""What it weighs that a crew comes to a site for the sake of an item, against a day early."""
UNPREFERRED: Final = 1e4
"""What a day weighs that the site would rather not have."""

Leg = tuple[float, Outing | None, LineKind | None, "tuple[int, int] | None"]
"""What the rest costs, and the next inspection with what has been done last after it."""
_ENDED: Final[Leg] = (0.0, None, None, None)
_IMPOSSIBLE: Final[Leg] = (float("inf"), None, None, None)


class QuickPath:
    """One search for one item; as a class, so that nothing is looked up twice."""

    __slots__ = ("_after", "_hasty", "_known", "_minutes", "_ordinals", "_price", "_rounds", "_site", "item")

    def __init__(self, days: AreaDays, item: ItemNumbers, price: float) -> None:
        self.item = item
        self._site = days.sites[item.site]
        self._ordinals = days.days[item.site]
        self._rounds = days.rounds[item.site]
        self._after = (item.visual.after, item.test.after)
        self._hasty = (item.visual.after.hasty, item.test.after.hasty)
        self._minutes = (item.visual.minutes, item.test.minutes)
        self._price = price
        self._known: dict[tuple[int, int], Leg] = {}

    def legs(self) -> list[tuple[Outing, LineKind]] | None:
        """The inspections in order; None: there is no such route."""
        leg = self._leg((0, 0), self.item.visual.first, self.item.test.first)
        if leg is _IMPOSSIBLE:
            return None
        found = []
        while leg[1] is not None and leg[2] is not None and leg[3] is not None:
            found.append((leg[1], leg[2]))
            leg = self._known.get(leg[3], _ENDED)
        return found

    def _leg(self, done: tuple[int, int], visual: Span, test: Span) -> Leg:  # noqa: C901 - calls would double its time
        visual_first, visual_last = visual
        test_first, test_last = test
        deadline = min(visual_last, test_last)
        if deadline == NEVER:
            return _ENDED
        known = self._known.get(done)
        if known is not None:
            return known
        ordinals, rounds, site = self._ordinals, self._rounds, self._site.number
        looked_hastily, tested_hastily = self._hasty[0].get(done[0], 0), self._hasty[1].get(done[1], 0)
        best = _IMPOSSIBLE
        least = best[0]
        first = max(done[0] + 1, done[1] + 1, min(visual_first, test_first))
        for place in range(bisect_left(ordinals, first), bisect_right(ordinals, deadline)):
            outing, day = rounds[place], ordinals[place]
            spare, coming = outing.spare, 0.0
            if site not in outing.counts:
                spare -= outing.joining(self._site)
                coming = JOINED if day in self._site.preferred else JOINED + UNPREFERRED
            for kind, begins, minutes in (
                (LineKind.TEST, test_first, self._minutes[1]),
                (LineKind.VISUAL, visual_first, self._minutes[0]),
            ):
                if begins > day or (minutes > spare and outing.work):
                    continue
                if kind is LineKind.TEST:
                    cost = coming + tested_hastily * HASTY + test_last - day + minutes * self._price + 1
                    following = (day, day)
                elif day < test_last:
                    cost = coming + looked_hastily * HASTY + visual_last - day + minutes * self._price + 1
                    following = (day, done[1])
                else:
                    continue
                if cost < least:
                    windows = self._after[0][day], self._after[1][day] if kind is LineKind.TEST else test
                    cost += self._leg(following, *windows)[0]
                    if cost < least:
                        least = cost
                        best = (cost, outing, kind, following)
        self._known[done] = best
        return best
