"""Settle how an item stands: which inspections count, what they leave it as, and when the next ones are due."""

from collections.abc import Callable, Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance, Inspection, InspectionKind, StatedInspection
from appreg.core.records.stated_outcomes import StatedOutcome
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid
from appreg.register.lists.inspection_lists import SavedInspections, Stated, saved_inspections
from appreg.register.lists.sight import Sight
from appreg.register.opening.register_file import Register
from appreg.schedule.due_dates import NextDates, next_dates
from appreg.schedule.stated_dates import StatedPasses, with_stated
from appreg.tasks.desk.find_rules import ItemRules, RuleFinder

if TYPE_CHECKING:
    from appreg.register.journal.changes import Change


Saw = Callable[[Inspection, Inspection | StatedInspection], bool]
"""Whether whoever recorded the one could see the other."""


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
    """The day of the first inspection that counts, or of the first that is stated, whatever came of it."""
    stated_failure: StatedInspection | None = None
    """The latest failure that somebody else states, where no complete inspection and test has passed since."""
    stated_last: StatedInspection | None = None
    """The latest that somebody else states, whatever it says."""
    stated: StatedPasses = StatedPasses()
    """The passes that somebody else states: they bear on dates alone."""
    passed_unaware: Inspection | None = None
    """A complete pass that ends no failure only because whoever recorded it could not see the one that stands."""

    @property
    def failed_on(self) -> date | None:
        """The day of the failure that stands, found here or stated by somebody else; None: none stands."""
        found = self.failure.date if self.failure is not None else None
        return found if self.stated_failure is None else max(found or date.min, self.stated_failure.on)

    @property
    def shown(self) -> tuple[Uid | None, Outcome | None, date | None]:
        """What the item shows as its latest result: the inspection, its outcome and its day; never a pass that is only stated."""
        if self.last is not None:
            return self.last.uid, self.last.outcome, self.last.date
        if self.stated_failure is not None:
            return None, Outcome.FAIL, self.stated_failure.on
        return None, None, self.stated_last.on if self.stated_last is not None else None

    @property
    def tested_on(self) -> date | None:
        """The day of that."""
        return self.tested_by.date if self.tested_by is not None else None


def failure_kept_words(standing: Standing) -> str:
    """What is to be told of a pass that could not end the failure that stands, as a sentence; empty where there is none."""
    by, failed_on = standing.passed_unaware, standing.failed_on
    if by is None or failed_on is None:
        return ""
    return (
        f"the failure of {date_words(failed_on)} stands: whoever recorded the pass of {date_words(by.date)}, in another "
        "place, could not know of it; inspect and test it again"
    )


def read_standing(register: Register, appliance: Uid) -> Standing:
    """The standing of an item in the register, neither corrected nor withdrawn inspections counting."""
    return standing_among(saved_inspections(register, appliance))


def standing_among(known: SavedInspections) -> Standing:
    """The same, of what was read of the item."""
    return standing_of(known.counting, known.saved, known.stated, sight=known.sight)


def standing_of(
    counting: Iterable[Inspection], saved: Sequence[Inspection], stated: Sequence[Stated] = (), *, sight: Sight
) -> Standing:
    """Read the standing out of the inspections that count; `saved` has all of the item as the journal orders them.

    A failure stands until a combined inspection and test passes that was saved after it, by somebody who could see it,
    and is not dated before it; so does one that somebody else states, and no pass that is only stated ends either.
    """
    places = standing_places(saved)
    counted = sorted(counting, key=lambda each: places[each.uid])
    saw = sight_among(saved, sight)
    found = _Found(saw)
    waiting = list(stated)
    for each in counted:
        while waiting and waiting[0].after <= places[each.uid]:
            found.take_stated(waiting.pop(0).record)
        found.take(each)
    for left in waiting:
        found.take_stated(left.record)

    def turn(each: Inspection) -> tuple[date, int]:
        return each.date, places[each.uid]

    failure = max(found.failures, key=turn, default=None)
    told = [each.record for each in stated]
    stated_failure = max(found.stated_failures, key=_day, default=None)
    return Standing(
        last=_last(counted, failure, turn, saw)
        if stated_failure is None or failure is not None
        else _open_since(counted, stated, stated_failure, turn, saw),
        failure=failure,
        passed_on=max((each.date for each in found.passes), default=None),
        tested_by=max(found.tests, key=turn, default=None),
        seen_on=min([each.date for each in counted] or [each.on for each in told], default=None),
        stated_failure=stated_failure,
        passed_unaware=found.unaware[-1] if found.unaware else None,
        stated_last=max(reversed(told), key=_day, default=None),
        stated=StatedPasses(
            look=max(reversed(found.stated_passes), key=_day, default=None),
            test=max(
                (each for each in reversed(found.stated_passes) if each.kind is InspectionKind.COMBINED),
                key=_day,
                default=None,
            ),
        ),
    )


def _day(stated: StatedInspection) -> date:
    return stated.on


class _Found:
    """What stands and what passed so far, inspections and what is stated taken in the order of the journal."""

    def __init__(self, saw: Saw) -> None:
        self._saw = saw
        self.unaware: list[Inspection] = []
        self.failures: list[Inspection] = []
        self.stated_failures: list[StatedInspection] = []
        self.passes: list[Inspection] = []
        self.stated_passes: list[StatedInspection] = []

    @property
    def tests(self) -> list[Inspection]:
        """The passed inspections and tests."""
        return [each for each in self.passes if each.kind is InspectionKind.COMBINED]

    @property
    def _stands(self) -> bool:
        return bool(self.failures or self.stated_failures)

    def take(self, each: Inspection) -> None:
        """Take an inspection that counts."""
        if each.outcome is Outcome.FAIL:
            self.failures.append(each)
        elif each.outcome is Outcome.PASS:
            if each.kind is InspectionKind.COMBINED:
                self._end(each)
            if not self._stands:
                self.passes.append(each)

    def _end(self, by: Inspection) -> None:
        """End the failures that are not dated after a pass and that whoever recorded it could see."""
        failures = [each for each in self.failures if each.date <= by.date and not self._saw(by, each)]
        stated = [each for each in self.stated_failures if each.on <= by.date and not self._saw(by, each)]
        self.unaware = [*self.unaware, by] if failures or stated else []
        self.failures = [each for each in self.failures if each.date > by.date] + failures
        self.stated_failures = [each for each in self.stated_failures if each.on > by.date] + stated

    def take_stated(self, each: StatedInspection) -> None:
        """Take what somebody else states."""
        if each.outcome is StatedOutcome.FAIL:
            self.stated_failures.append(each)
        elif each.outcome is StatedOutcome.PASS and not self._stands:
            self.stated_passes.append(each)


def _open_since(
    counted: Sequence[Inspection],
    stated: Sequence[Stated],
    failure: StatedInspection,
    turn: Callable[[Inspection], tuple[date, int]],
    saw: Saw,
) -> Inspection | None:
    """While a stated failure stands the latest result is what was left incomplete after it, if anything; never a pass."""
    after = next(each.after for each in stated if each.record is failure)
    open_since = [
        each
        for each in counted
        if each.outcome is Outcome.INCOMPLETE
        and each.date >= failure.on
        and turn(each)[1] >= after
        and saw(each, failure)
    ]
    return max(open_since, key=turn, default=None)


def _last(
    counted: Sequence[Inspection],
    failure: Inspection | None,
    turn: Callable[[Inspection], tuple[date, int]],
    saw: Saw,
) -> Inspection | None:
    """While a failure stands the latest result is that failure, or what was left incomplete after it; never a pass."""
    if failure is None:
        return max(counted, key=turn, default=None)
    day, place = turn(failure)
    open_since = [
        each
        for each in counted
        if each.outcome is Outcome.INCOMPLETE and each.date >= day and turn(each)[1] > place and saw(each, failure)
    ]
    return max([failure, *open_since], key=turn)


def settled(item: Appliance, standing: Standing, rules: ItemRules) -> Appliance:
    """The item with its latest result and next dates as its standing says."""
    uid, outcome, on = standing.shown
    dates = NextDates(visual=None, test=None) if on is None else _dates(item, standing, on, rules)
    return replace(
        item,
        last_inspection=uid,
        last_date=on,
        last_outcome=outcome,
        next_visual=dates.visual,
        next_test=dates.test,
    )


def held_back(item: Appliance, standing: Standing) -> Appliance:
    """The item, withdrawn where it would be in service while a failure stands."""
    in_use = standing.failed_on is not None and item.state is ServiceState.IN_SERVICE
    return replace(item, state=ServiceState.WITHDRAWN) if in_use else item


def settle_items(register: Register, change: "Change", items: Iterable[Appliance]) -> None:
    """Settle items anew after the rules that hold for them have changed."""
    rules = RuleFinder(register)
    for item in items:
        if item.last_date:
            change.put(settled(item, read_standing(register, item.uid), rules.of(item)))


def _dates(item: Appliance, standing: Standing, last: date, rules: ItemRules) -> NextDates:
    """Only a pass advances a date: what never passed is due since it was first seen, and so is a test that never did."""
    seen = standing.seen_on or last
    dates = next_dates(
        rules.answer,
        inspected=standing.passed_on or last,
        tested=standing.tested_on,
        longer=bool(item.longer_interval_reason),
        test_max=rules.test_max,
        seen=seen,
    )
    if standing.passed_on is None and dates.visual is not None:
        dates = NextDates(visual=seen, test=dates.test)
    return with_stated(
        dates,
        standing.stated,
        inspected=standing.passed_on,
        tested=standing.tested_on,
        answers=(rules.table, rules.answer),
        test_max=rules.profile.test_max if rules.profile else None,
    )


def sight_among(saved: Sequence[Inspection], sight: Sight) -> Saw:
    """What whoever recorded one of these could see; a correction saw what the record it replaces saw, and was seen with it."""
    own = {each.uid: each for each in saved}

    def first(each: Inspection) -> Inspection:
        while each.supersedes in own:
            each = own[each.supersedes]
        return each

    def saw(later: Inspection, earlier: Inspection | StatedInspection) -> bool:
        return sight.saw(first(later), first(earlier) if isinstance(earlier, Inspection) else earlier)

    return saw


def standing_places(saved: Sequence[Inspection]) -> dict[Uid, int]:
    """Places in the order of the journal; a correction stands where the record it replaces stood."""
    own = {each.uid: place for place, each in enumerate(saved)}
    places: dict[Uid, int] = {}
    for each in saved:
        first = each.supersedes
        # What a correction replaces was saved before it, so its place is settled already.
        places[each.uid] = places[first] if first in places else own[each.uid]
    return places
