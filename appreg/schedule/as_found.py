"""Which inspections tell of an interval: those that found an item as so long a time had left it."""

from collections import Counter
from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import Final

from msgspec import Struct

from appreg.core.records.kept_records import InspectionKind
from appreg.core.records.work_records import IntervalKind
from appreg.core.rules.rule_book import RuleBook
from appreg.core.values.periods import Period
from appreg.core.values.uids import Uid
from appreg.schedule.due_dates import date_after

_PARTS: Final = 1000
"""A whole interval is summed in so many parts, so that no order of adding matters."""


class FinishedInspection(Struct, frozen=True, kw_only=True):
    """One inspection that counts and came to a pass or a fail."""

    appliance: Uid
    kind: InspectionKind
    on: date
    failed_checks: tuple[str, ...]
    """Names of the checks that failed, those put right on the spot among them; empty: it passed."""
    failed: bool
    """As it was found, whatever was then put right on the spot."""
    retest: bool = False
    """The finished inspection of the item before it failed: this one tells of the repair, not of an interval."""
    unreadable: bool = False
    """What it came to, when or of which kind it was cannot be told; it proves nothing."""


class Elapsed(StrEnum):
    """How the time before an inspection stands to an interval; by the names in InspectionCounts."""

    FIRST = "first"
    """There was no inspection before."""
    RETEST = "retests"
    """It follows a failure."""
    EARLIER = "earlier"
    """It began before the interval was set."""
    TOO_SOON = "too_soon"
    ABOUT = "about the interval"
    LONG_AFTER = "long_after"


class ElapsedRule(Struct, frozen=True, kw_only=True):
    """The shares of an interval between which an inspection speaks of it; both still count."""

    least: Decimal
    most: Decimal
    source: str = ""
    basis: str = ""

    def of(self, before: date, on: date, interval: Period) -> Elapsed:
        """Hold the days between two inspections against the days that the interval lasts from the first."""
        elapsed, whole = (on - before).days, _days(before, interval)
        if elapsed < self.least * whole:
            return Elapsed.TOO_SOON
        return Elapsed.LONG_AFTER if elapsed > self.most * whole else Elapsed.ABOUT

    @property
    def words(self) -> str:
        """The window in words: '0.75 to 1.5 times the interval after the last pass'."""
        return f"{self.least.normalize():f} to {self.most.normalize():f} times the interval after the last pass"


def elapsed_rule(book: RuleBook) -> ElapsedRule:
    """The rule as a book has it."""
    least, most = (book.figures[f"evidence.elapsed-{end}"] for end in ("least", "most"))
    cited = least.citation
    return ElapsedRule(least=least.number, most=most.number, source=cited.line, basis=cited.basis.value)


class IntervalInUse(Struct, frozen=True, kw_only=True):
    """The interval that an item is inspected at, and since when."""

    period: Period
    since: date | None = None
    """The day it was set by hand; None: it is the table's, and was never another."""


class AsFound:
    """Sorts inspections into those that tell of the interval in use and the others, and counts both."""

    def __init__(self, what: IntervalKind, rule: ElapsedRule) -> None:
        """Tests are told of by combined inspections, visual inspections by those of either kind."""
        self._what = what
        self._rule = rule
        self._last: dict[Uid, date] = {}
        """By item: the day of the last inspection that asks the interval's question."""
        self._mended: set[Uid] = set()
        """Items that failed a look since: what a test finds then tells of the repair."""
        self._clean_parts = 0
        self.early_failures = 0
        """Of those left out as too soon: how many failed all the same."""
        self.counted: list[FinishedInspection] = []
        self.left_out: Counter[Elapsed] = Counter()

    @property
    def clean_intervals(self) -> int:
        """Whole intervals that had run before the inspections that passed; none weighs more than one."""
        return self._clean_parts // _PARTS

    def take(self, each: FinishedInspection, now: IntervalInUse, *, failed: bool) -> None:
        """Count an inspection or leave it out; those of an item in the order of their days."""
        if self._what is IntervalKind.TEST and each.kind is not InspectionKind.COMBINED:
            if each.retest:
                self._mended.add(each.appliance)
            return
        before = self._last.get(each.appliance)
        elapsed = self._elapsed(each, before, now)
        self._last[each.appliance] = each.on
        self._mended.discard(each.appliance)
        if before is None or elapsed is not Elapsed.ABOUT:
            self.left_out[elapsed] += 1
            self.early_failures += failed and elapsed is Elapsed.TOO_SOON
            return
        self.counted.append(each)
        if not failed:
            run = _PARTS * (each.on - before).days // _days(before, now.period)
            self._clean_parts += min(_PARTS, run)

    def _elapsed(self, each: FinishedInspection, before: date | None, now: IntervalInUse) -> Elapsed:
        if before is None:
            return Elapsed.FIRST
        if each.retest or each.appliance in self._mended:
            return Elapsed.RETEST
        if now.since is not None and before < now.since:
            return Elapsed.EARLIER
        return self._rule.of(before, each.on, now.period)


def _days(start: date, interval: Period) -> int:
    return (date_after(start, interval) - start).days
