"""What the labels of the tray are found by: their items; categories are read when something is first looked for."""

from collections.abc import Mapping
from functools import cache

from appreg.core.records.kept_records import Category
from appreg.core.records.searched_rows import SearchedRow
from appreg.core.values.uids import Uid
from appreg.register.opening.register_file import Register
from appreg.schedule.searched_items import searched_item
from appreg.tasks.desk.find_rules import RuleFinder
from appreg.tasks.standing.queue_labels import WaitingLabel


class SearchedLabels:
    """Tells of a label what its filter line looks through."""

    def __init__(self, register: Register) -> None:
        self._rules = RuleFinder(register)

        @cache
        def categories() -> Mapping[Uid, Category]:
            return {each.uid: each for each in register.find_readable(Category)}

        self._categories = categories

    def row(self, waiting: WaitingLabel) -> SearchedRow:
        """One label."""
        item = waiting.appliance
        category = self._categories().get(item.category) if item.category else None
        return searched_item(item, site=waiting.site, location=self._rules.location(item.location), category=category)
