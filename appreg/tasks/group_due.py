"""Group what is due by site, location, environment or category, with counts and the next twelve months."""

from collections import Counter
from collections.abc import Iterable, Sequence
from datetime import date
from enum import StrEnum
from typing import Final

from appreg.core.lean_dataclasses import dataclass
from appreg.core.records import Appliance, Category
from appreg.core.rule_book_loading import load_rule_book
from appreg.core.uids import Uid
from appreg.register.due_lists import withdrawn_items
from appreg.register.register_file import Register
from appreg.schedule.due_states import DueState
from appreg.schedule.interval_choice import interval_table
from appreg.tasks.find_rules import RuleFinder
from appreg.tasks.list_due import DueCounts, DueLine, list_due

MONTHS: Final = 12


class DueGrouping(StrEnum):
    """What lines are put together by."""

    SITE = "site"
    LOCATION = "location"
    ENVIRONMENT = "environment"
    CATEGORY = "category"


@dataclass(frozen=True, slots=True, kw_only=True)
class DueGroup:
    """The lines that belong together."""

    title: str
    counts: DueCounts
    months: tuple[int, ...]
    """Inspections falling due in each of twelve months, this one (from today) first."""
    lines: tuple[DueLine, ...]
    """Those overdue, due soon or never inspected."""


def group_due(
    register: Register, *, by: DueGrouping, today: date, within_days: int = 30, site: Uid | None = None
) -> tuple[DueGroup, ...]:
    """What is due in groups; a group has a line overdue, never inspected or due in the year, or an item withdrawn."""
    year = list_due(register, today=today, within_days=max(within_days, _days_of_months(today)), site=site)
    titles = _Titles(register, by)
    soon = today.toordinal() + within_days
    coming: dict[str, list[DueLine]] = {}
    for line in year.lines:
        coming.setdefault(titles.of(line.appliance), []).append(line)
    withdrawn = Counter(titles.of(item) for item in withdrawn_items(register, site=site))
    return tuple(
        _group(title, coming.get(title, []), withdrawn[title], today, soon)
        for title in sorted(coming.keys() | withdrawn.keys(), key=lambda each: (each.casefold(), each))
    )


class _Titles:
    """The titles of the groups that items belong to, each read once."""

    def __init__(self, register: Register, by: DueGrouping) -> None:
        self._rules = RuleFinder(register)
        self._by = by
        self._categories: dict[Uid | None, str] = {each.uid: each.name for each in register.find(Category)}

    def of(self, item: Appliance) -> str:
        site = self._rules.site(item.site)
        match self._by:
            case DueGrouping.SITE:
                return site.name
            case DueGrouping.LOCATION:
                return f"{site.name}, {self._rules.location(item.location).name}"
            case DueGrouping.ENVIRONMENT:
                table = interval_table(load_rule_book(site.rule_book), site.interval_table)
                return table.environments[self._rules.environment(item)]
            case DueGrouping.CATEGORY:
                return self._categories.get(item.category, "no category")


def _group(title: str, coming: list[DueLine], withdrawn: int, today: date, soon: int) -> DueGroup:
    lines = tuple(line for line in coming if line.due is None or line.due.toordinal() <= soon)
    return DueGroup(title=title, counts=_counts(lines, withdrawn), months=_months(coming, today), lines=lines)


def _counts(lines: Sequence[DueLine], withdrawn: int) -> DueCounts:
    states = [line.state for line in lines]
    return DueCounts(
        overdue=states.count(DueState.OVERDUE),
        due_soon=states.count(DueState.DUE_SOON),
        never=states.count(DueState.NEVER),
        withdrawn=withdrawn,
    )


def _months(lines: Iterable[DueLine], today: date) -> tuple[int, ...]:
    counts = [0] * MONTHS
    for line in lines:
        if line.due is not None and line.due >= today:
            month = (line.due.year - today.year) * MONTHS + line.due.month - today.month
            if month < MONTHS:
                counts[month] += 1
    return tuple(counts)


def _days_of_months(today: date) -> int:
    """To the last day of the twelfth month."""
    year = min(today.year + 1, date.max.year)
    return max(0, date(year, today.month, 1).toordinal() - 1 - today.toordinal())
