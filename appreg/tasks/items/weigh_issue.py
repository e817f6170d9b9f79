"""Weigh before items are issued how old their last test is, against the limit that the house has set itself."""

from collections.abc import Sequence
from datetime import date

from msgspec import Struct

from appreg.core.records.kept_records import Appliance
from appreg.core.values.counted_words import counted
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.opening.register_file import Register
from appreg.tasks.items.list_blocked import events_of


class PastHouseLimit(InputRefused):
    """An item's last test is older than the house wants it at issue; a person may issue it all the same."""


class AgeOfTest(Struct, frozen=True, kw_only=True):
    """How old the last passed inspection and test of an item is on the day of its issue."""

    appliance: Appliance
    on: date
    tested: date | None
    """None: none has passed."""
    limit_days: int
    """0: the house has no limit of its own."""

    @property
    def days(self) -> int | None:
        """From the test to the issue."""
        return None if self.tested is None else (self.on - self.tested).days

    @property
    def is_past_limit(self) -> bool:
        """Older than the limit; so is what was never tested, or on a day that has not come."""
        return bool(self.limit_days) and not (self.days is not None and 0 <= self.days <= self.limit_days)

    @property
    def words(self) -> str:
        """The age and the limit, as the second half of a sentence."""
        limit = (
            f"the house's limit is {counted(self.limit_days, 'day')}"
            if self.limit_days
            else "the house has set no limit"
        )
        if self.tested is None or self.days is None:
            return f"never tested; {limit}"
        ago = f"{counted(self.days, 'day')} before" if self.days >= 0 else "a day that has not come"
        return f"last tested {date_words(self.tested)}, {ago}; {limit}"


def ages_of_tests(register: Register, *, appliances: Sequence[Uid], on: date, limit_days: int) -> tuple[AgeOfTest, ...]:
    """The age of each item's last test that passed and counts, in the order given."""
    items = (register.get(Appliance, uid) for uid in dict.fromkeys(appliances))
    return tuple(
        AgeOfTest(appliance=item, on=on, tested=_last_tested(register, item), limit_days=limit_days) for item in items
    )


def _last_tested(register: Register, item: Appliance) -> date | None:
    return max((moment.on for moment in events_of(register, item).tested), default=None)


def ages_in_words(ages: Sequence[AgeOfTest]) -> str:
    """What is told before the choice to issue, as a sentence: of one item its age, of several the oldest."""
    oldest = min(ages, key=lambda age: (age.tested is not None, age.tested or age.on))
    words = oldest.words if len(ages) == 1 else f"the oldest, {oldest.appliance.tag}: {oldest.words}"
    return f"{words[0].upper()}{words[1:]}."


def past_limit_words(ages: Sequence[AgeOfTest]) -> str:
    """Which of some items are past the limit; empty where none is."""
    past = [age for age in ages if age.is_past_limit]
    if not past:
        return ""
    others = f", and {len(past) - 1} more" if len(past) > 1 else ""
    return f"{past[0].appliance.tag}: {past[0].words}{others}"
