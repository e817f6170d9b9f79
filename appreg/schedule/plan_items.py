"""What a visit plan is made for: items with the inspections that fall due on them."""

from datetime import date
from enum import StrEnum

from msgspec import Struct

from appreg.core.values.periods import Period


class LineKind(StrEnum):
    """Which of an item's two lines an inspection belongs to."""

    VISUAL = "visual"
    TEST = "test"


class PlanLine(Struct, frozen=True, kw_only=True):
    """One kind of inspection of one item, coming round again and again."""

    due: date | None
    """Next due date; None: never inspected, so due at once."""
    period: Period
    """The interval after each inspection."""
    minutes: int
    """Time it takes on site, minutes."""


class PlanItem(Struct, frozen=True, kw_only=True):
    """One item with its two lines; a combined inspection and test also counts as a visual inspection."""

    key: str
    """Unique in the plan; say the appliance's uid."""
    visual: PlanLine | None
    """None: no formal visual inspection is asked for."""
    test: PlanLine | None
    """None: no combined inspection and test is asked for."""

    @property
    def lines(self) -> dict[LineKind, PlanLine]:
        """The lines the item has."""
        both = ((LineKind.VISUAL, self.visual), (LineKind.TEST, self.test))
        return {kind: line for kind, line in both if line}


class PlannedInspection(Struct, frozen=True, kw_only=True):
    """One inspection of one item on a planned visit."""

    key: str
    kind: LineKind
    """A test includes the visual inspection."""
    due: date | None
    """None: never inspected before."""
    early_days: int
    """Days before the due date; 0 when it is not early."""
    late_days: int
    """Days after its own due date, where an earlier allowed day would have been nearer to it; 0 when it is not late."""
    minutes: int
    overdue_days: int = 0
    """Days after its own due date in any case, also where it was overdue before the plan starts."""
    hasty_days: int = 0
    """Days before the tolerance allows it; 0 when it is not hasty."""
    is_backlog: bool = False
    """All that it is late for was overdue already by the first day on which anybody could come."""


class PlannedVisit(Struct, frozen=True, kw_only=True):
    """A day on site with what is done there."""

    day: date
    inspections: tuple[PlannedInspection, ...]

    @property
    def minutes(self) -> int:
        """Time on site, minutes."""
        return sum(inspection.minutes for inspection in self.inspections)


class LeftOverdue(Struct, frozen=True, kw_only=True):
    """A line that is overdue at the horizon and that no planned visit meets."""

    key: str
    kind: LineKind
    due: date | None


def tolerance_days(period: Period, percent: int) -> int:
    """How many days before its due date an inspection may be made: a share of the period's mean length."""
    return period.mean_days_times(percent) // 100


def percent_above(made: int, bound: int) -> int:
    """How far a number lies above its bound, percent, rounded up; 0 where it does not, or no bound is known."""
    return max(0, -(-(made - bound) * 100 // bound)) if bound else 0
