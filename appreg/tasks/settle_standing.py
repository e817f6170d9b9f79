"""Settle how an item stands: which inspections count, what they leave it as, and when the next ones are due."""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING

from appreg.core.lean_dataclasses import dataclass, replace
from appreg.core.outcomes import Outcome
from appreg.core.records import Appliance, Inspection, InspectionKind
from appreg.core.uids import Uid
from appreg.register.inspection_lists import effective_inspections, inspections_of
from appreg.register.register_file import Register
from appreg.schedule.due_dates import NextDates, next_dates
from appreg.tasks.find_rules import ItemRules, RuleFinder

if TYPE_CHECKING:
    from appreg.register.changes import Change


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """What the inspections of one item come to."""

    last: Inspection | None
    """The latest that counts."""
    failure: Inspection | None
    """The latest failure, where no complete inspection and test has passed since."""
    passed_on: date | None
    """The day of the last passed inspection of either kind."""
    tested_on: date | None
    """The day of the last passed combined inspection and test."""


def read_standing(register: Register, appliance: Uid) -> Standing:
    """The standing of an item in the register, neither corrected nor withdrawn inspections counting."""
    return standing_of(effective_inspections(register, appliance), inspections_of(register, appliance))


def standing_of(effective: Sequence[Inspection], every: Sequence[Inspection]) -> Standing:
    """Read the standing out of the inspections that count, in any order; `every` also has those they replace."""
    counted = _in_order(effective, every)
    failure: Inspection | None = None
    passed: date | None = None
    tested: date | None = None
    for each in counted:
        if each.outcome is Outcome.FAIL:
            failure = each
        elif each.outcome is Outcome.PASS:
            passed = each.date
            if each.kind is InspectionKind.COMBINED:
                tested, failure = each.date, None
    return Standing(last=counted[-1] if counted else None, failure=failure, passed_on=passed, tested_on=tested)


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
    """Only a pass advances a date: an item that never passed is due since it was first seen."""
    dates = next_dates(
        rules.answer,
        inspected=standing.passed_on or last.date,
        tested=standing.tested_on,
        longer=bool(item.longer_interval_reason),
        test_max=rules.test_max,
    )
    if standing.passed_on is None and dates.visual is not None:
        return NextDates(visual=last.date, test=dates.test)
    return dates


def _in_order(effective: Sequence[Inspection], every: Sequence[Inspection]) -> list[Inspection]:
    """Oldest first; a correction stands where the record it replaces stood."""
    by_uid = {each.uid: each for each in every}

    def place(each: Inspection) -> tuple[date, Uid]:
        first = each
        while first.supersedes and first.supersedes in by_uid:
            first = by_uid[first.supersedes]
        return each.date, first.uid

    return sorted(effective, key=place)
