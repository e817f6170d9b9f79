"""Call items alike: by category or type, environment and table, with the interval that each is inspected at."""

from collections.abc import Iterable
from enum import StrEnum

from appreg.core.records.kept_records import Appliance, Category
from appreg.core.records.work_records import IntervalKind, IntervalOverride
from appreg.core.rules.interval_tables import IntervalTable
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.uids import Uid
from appreg.register.opening.register_file import Register
from appreg.schedule.as_found import IntervalInUse
from appreg.schedule.interval_choice import interval_table
from appreg.tasks.desk.find_rules import RuleFinder

NO_CATEGORY = "no category"


class EvidenceGrouping(StrEnum):
    """What makes items alike, beside their environment."""

    CATEGORY = "category"
    TYPE = "type"


class EvidenceRules(RuleFinder):
    """The rules of items, with the words that groups go by and the intervals in use."""

    def __init__(self, register: Register) -> None:
        """Find in this register."""
        super().__init__(register)
        self._categories: dict[Uid | None, str] = {each.uid: each.name for each in register.find_readable(Category)}

    def title(self, item: Appliance, by: EvidenceGrouping) -> str:
        """The category or type of an item."""
        if by is EvidenceGrouping.TYPE:
            return item.equipment_type.label
        return self._categories.get(item.category, NO_CATEGORY)

    def group_key(self, item: Appliance, by: EvidenceGrouping) -> tuple[str, str, str]:
        """What an item is grouped by: category or type, environment in words, and table."""
        table = self.table(item)
        environment = self.environment(item)
        self.answer(item)  # refuses an environment or an interval that is not known
        return self.title(item, by), table.environments[environment], table.id

    def book(self, item: Appliance) -> RuleBook:
        """The rule book of the site of an item."""
        return load_rule_book(self.site(item.site).rule_book)

    def table(self, item: Appliance) -> IntervalTable:
        """The interval table that an item stands under."""
        return interval_table(self.book(item), self.site(item.site).interval_table)

    def in_use(self, item: Appliance, what: IntervalKind) -> IntervalInUse | None:
        """The interval that an item is inspected at, and since when; None where none is asked for."""
        answer = self.answer(item)
        interval = answer.visual if what is IntervalKind.VISUAL else answer.test
        chosen = interval.chosen(bool(item.longer_interval_reason)) if interval else None
        longest = self.test_max(item) if what is IntervalKind.TEST else None
        period = min((each for each in (chosen, longest) if each), default=None)
        if period is None:
            return None
        override = self.override(item, what)
        return IntervalInUse(period=period, since=override.on if override else None)

    def set_by_hand(self, items: Iterable[Appliance], what: IntervalKind) -> tuple[IntervalOverride, ...]:
        """What set the intervals of items, the oldest first, each once."""
        found = {each.uid: each for item in items if (each := self.override(item, what)) is not None}
        return tuple(sorted(found.values(), key=lambda each: (each.on, each.uid)))
