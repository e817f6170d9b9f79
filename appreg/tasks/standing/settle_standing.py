"""Settle how an item stands: which inspections count, what they leave it as, and when the next ones are due."""

from collections.abc import Callable, Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from appreg.core.records.kept_records import Appliance, Inspection, InspectionKind
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid
from appreg.register.lists.inspection_lists import saved_inspections
from appreg.register.opening.register_file import Register
from appreg.schedule.due_dates import NextDates, next_dates
from appreg.tasks.desk.find_rules import ItemRules, RuleFinder

if TYPE_CHECKING:
    from appreg.register.journal.changes import Change


class Standing(Struct, frozen=True, kw_only=True):
    """What the inspections of one item come to."""

    last: Inspection | None
    """The latest that counts."""
    failure: Inspection | None
    """The latest failure, where no complete inspection and test has passed since."""
    passed_on: date | None
    """The day of the last passed inspection of either kind."""
    tested_by: Inspection | None
    """The last passed combined inspection and test."""
    seen_on: date | None
    """The day of the first inspection that counts, whatever came of it."""

    @property
    def tested_on(self) -> date | None:
        """The day of that."""
        return self.tested_by.date if self.tested_by is not None else None


def read_standing(register: Register, appliance: Uid) -> Standing:
    """The standing of an item in the register, neither corrected nor withdrawn inspections counting."""
    known = saved_inspections(register, appliance)
    return standing_of(known.counting, known.saved)


def standing_of(counting: Iterable[Inspection], saved: Sequence[Inspection]) -> Standing:
    """Read the standing out of the inspections that count; `saved` has all of the item as the journal orders them.

    A failure stands until a combined inspection and test passes that was saved after it and is not dated before it.
    """
    places = standing_places(saved)
    counted = sorted(counting, key=lambda each: places[each.uid])
    standing: list[Inspection] = []
    passes: list[Inspection] = []
    for each in counted:
        if each.outcome is Outcome.FAIL:
            standing.append(each)
        elif each.outcome is Outcome.PASS:
            if each.kind is InspectionKind.COMBINED:
                standing = [failure for failure in standing if failure.date > each.date]
            if not standing:
                passes.append(each)

    def turn(each: Inspection) -> tuple[date, int]:
        return each.date, places[each.uid]

    tests = [each for each in passes if each.kind is InspectionKind.COMBINED]
    failure = max(standing, key=turn, default=None)
    return Standing(
        last=_last(counted, failure, turn),
        failure=failure,
        passed_on=max((each.date for each in passes), default=None),
        tested_by=max(tests, key=turn, default=None),
        seen_on=min((each.date for each in counted), default=None),
    )


def _last(
    counted: Sequence[Inspection], failure: Inspection | None, turn: Callable[[Inspection], tuple[date, int]]
) -> Inspection | None:
    """While a failure stands the latest result is that failure, or what was left incomplete after it; never a pass."""
    if failure is None:
        return max(counted, key=turn, default=None)
    day, place = turn(failure)
    open_since = [
        each for each in counted if each.outcome is Outcome.INCOMPLETE and each.date >= day and turn(each)[1] > place
    ]
    return max([failure, *open_since], key=turn)


def settled(item: Appliance, standing: Standing, rules: ItemRules) -> Appliance:
    """The item with its latest result and next dates as its standing says."""
    last = standing.last
    if last is None:
        return replace(item, last_inspection=None, last_date=None, last_outcome=None, next_visual=None, next_test=None)
    dates = _dates(item, standing, last, rules)
    return replace(
        item,
        last_inspection=last.uid,
        last_date=last.date,
        last_outcome=last.outcome,
        next_visual=dates.visual,
        next_test=dates.test,
    )


def settle_items(register: Register, change: "Change", items: Iterable[Appliance]) -> None:
    """Settle items anew after the rules that hold for them have changed."""
    rules = RuleFinder(register)
    for item in items:
        if item.last_inspection:
            change.put(settled(item, read_standing(register, item.uid), rules.of(item)))


def _dates(item: Appliance, standing: Standing, last: Inspection, rules: ItemRules) -> NextDates:
    """Only a pass advances a date: what never passed is due since it was first seen, and so is a test that never did."""
    seen = standing.seen_on or last.date
    dates = next_dates(
        rules.answer,
        inspected=standing.passed_on or last.date,
        tested=standing.tested_on,
        longer=bool(item.longer_interval_reason),
        test_max=rules.test_max,
        seen=seen,
    )
    if standing.passed_on is None and dates.visual is not None:
        return NextDates(visual=seen, test=dates.test)
    return dates


def standing_places(saved: Sequence[Inspection]) -> dict[Uid, int]:
    """Places in the order of the journal; a correction stands where the record it replaces stood."""
    own = {each.uid: place for place, each in enumerate(saved)}
    places: dict[Uid, int] = {}
    for each in saved:
        first = each.supersedes
        # What a correction replaces was saved before it, so its place is settled already.
        places[each.uid] = places[first] if first in places else own[each.uid]
    return places
