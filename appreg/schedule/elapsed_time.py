"""Whether an inspection came about as long after the one before as an interval lasts: only then does it speak of it."""

from datetime import date
from decimal import Decimal
from enum import Enum

from appreg.core.lean_dataclasses import dataclass
from appreg.core.periods import Period
from appreg.core.rule_book import RuleBook
from appreg.schedule.due_dates import date_after


class Elapsed(Enum):
    """How the time between two inspections stands to an interval."""

    TOO_SOON = "too soon"
    ABOUT = "about the interval"
    LONG_AFTER = "long after"


@dataclass(frozen=True, slots=True, kw_only=True)
class ElapsedRule:
    """The shares of an interval between which an inspection speaks of it; both still count."""

    least: Decimal
    most: Decimal

    def of(self, before: date, on: date, interval: Period) -> Elapsed:
        """Hold the days between two inspections against the days that the interval lasts from the first."""
        elapsed, whole = (on - before).days, (date_after(before, interval) - before).days
        if elapsed < self.least * whole:
            return Elapsed.TOO_SOON
        return Elapsed.LONG_AFTER if elapsed > self.most * whole else Elapsed.ABOUT


def elapsed_rule(book: RuleBook) -> ElapsedRule:
    """The rule as a book has it."""
    return ElapsedRule(
        least=book.figures["evidence.elapsed-least"].number, most=book.figures["evidence.elapsed-most"].number
    )
