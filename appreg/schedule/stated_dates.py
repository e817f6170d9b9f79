"""What passes that somebody else states, without readings, do to the next dates."""

from collections.abc import Iterable, Sequence
from datetime import date

from msgspec import Struct

from appreg.core.records.kept_records import InspectionKind, StatedInspection
from appreg.core.rules.interval_tables import Interval, IntervalAnswer
from appreg.core.values.periods import Period
from appreg.schedule.due_dates import NextDates, date_after


class StatedPasses(Struct, frozen=True, kw_only=True):
    """The latest passes that are stated and that nothing found here stands against."""

    look: StatedInspection | None = None
    """Of either kind: whoever tests looks first."""
    test: StatedInspection | None = None
    """Of a combined inspection and test."""


def with_stated(
    dates: NextDates,
    stated: StatedPasses,
    *,
    inspected: date | None,
    tested: date | None,
    answers: Sequence[IntervalAnswer],
    test_max: Period | None,
) -> NextDates:
    """The next dates where a stated pass is later than the last one found here, on `inspected` and `tested`.

    It counts for no longer than the shortest of what the `answers` (the table's, and that with intervals set by hand)
    and the statutory longest interval ask for, at the shorter end of a range, and never past the date that it states.
    """
    visual, test = dates.visual, dates.test
    if stated.test is not None and (tested is None or stated.test.on > tested):
        periods = [*_shortest(each.test for each in answers), *([test_max] if test_max else [])]
        own = stated.test.next_on if periods or visual is None else None
        test = _first(stated.test.on, periods, own)
    if stated.look is not None and (inspected is None or stated.look.on > inspected):
        periods = _shortest(each.visual for each in answers)
        own = stated.look.next_on if stated.look.kind is InspectionKind.VISUAL or test is None else None
        visual = _first(stated.look.on, periods, own)
    return NextDates(visual=visual, test=test)


def _shortest(intervals: Iterable[Interval | None]) -> list[Period]:
    found = (each.chosen(longer=False) for each in intervals if each is not None)
    return [each for each in found if each is not None]


def _first(on: date, periods: Sequence[Period], stated: date | None) -> date | None:
    days = [date_after(on, each) for each in periods]
    return min([*days, *([stated] if stated is not None else [])], default=None)
