"""Group what is due by place, environment, category, whoever is responsible or month, with counts and twelve months ahead."""

import re
from collections.abc import Iterable, Iterator
from datetime import date
from enum import StrEnum
from functools import partial
from typing import Final

from msgspec import Struct

from appreg.core.records.kept_records import Appliance, Category
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.dates_in_words import MONTH_NAMES
from appreg.core.values.uids import Uid
from appreg.register.lists.due_lists import (
    due_item_tallies,
    due_items_by_month,
    due_tallies,
    never_inspected,
    withdrawn_tallies,
)
from appreg.register.opening.register_file import Register
from appreg.schedule.interval_choice import interval_table
from appreg.tasks.desk.find_rules import RuleFinder
from appreg.tasks.desk.read_on import DAMAGED, note_damaged_items, read_on
from appreg.tasks.planning.list_due import DueCounts, last_day, list_due
from appreg.tasks.standing.due_lines import DueLine

MONTHS: Final = 12
_MONTH: Final = re.compile(r"\d{4}-(0[1-9]|1[0-2])")


class DueGrouping(StrEnum):
    """What lines are put together by."""

    SITE = "site"
    LOCATION = "location"
    ENVIRONMENT = "environment"
    CATEGORY = "category"
    RESPONSIBLE = "responsible"
    MONTH = "month"


class DueGroup(Struct, frozen=True, kw_only=True):
    """The lines that belong together, counted."""

    title: str
    counts: DueCounts
    months: tuple[int, ...]
    """Inspections falling due in each of twelve months, this one (from today) first."""


def group_due(
    register: Register, *, by: DueGrouping, today: date, within_days: int = 30, site: Uid | None = None
) -> tuple[DueGroup, ...]:
    """What is due in groups; a group has a line overdue, never inspected or due in the year, or an item withdrawn."""
    note_damaged_items(register, site=site, quick=True)
    titles = _Titles(register, by)
    sums: dict[str, _Sum] = {}

    def sum_of(place: Uid, location: Uid, category: Uid | None, month: str = "") -> _Sum:
        title = _month_title(month) if by is DueGrouping.MONTH else titles.of(place, location, category)
        return sums.setdefault(title, _Sum())

    soon, end = last_day(today, within_days), _last_of_months(today)
    for each in due_tallies(register, today=today, soon=soon, until=max(soon, end), site=site):
        group = sum_of(each.site, each.location, each.category, each.month)
        group.overdue += each.overdue
        group.soon += each.soon
        if not _MONTH.fullmatch(each.month):
            continue  # noted as damaged, with the item's tag, by list_due
        month = (int(each.month[:4]) - today.year) * MONTHS + int(each.month[5:]) - today.month
        if 0 <= month < MONTHS:
            group.months[month] += each.coming
    for title, late, near in _items_due(register, titles, by, today=today, soon=soon, site=site):
        group = sums.setdefault(title, _Sum())
        group.overdue_items += late
        group.soon_items += near
    for item in never_inspected(register, site=site):
        if read_on(register, item.tag, partial(titles.rules.is_waited_for, item)):
            sum_of(item.site, item.location, item.category).never += 1
    for out in withdrawn_tallies(register, site=site):
        sum_of(out.site, out.location, out.category).withdrawn += out.items
    return tuple(sums[title].group(title) for title in sorted(sums, key=lambda each: (each.casefold(), each)))


def _items_due(
    register: Register, titles: "_Titles", by: DueGrouping, *, today: date, soon: date, site: Uid | None
) -> Iterator[tuple[str, int, int]]:
    """Items overdue and others due soon, by the title of their group; each once, by month with its first date."""
    if by is DueGrouping.MONTH:
        for first, late, near in due_items_by_month(register, today=today, soon=soon, site=site):
            yield _month_title(first), late, near
        return
    for due in due_item_tallies(register, today=today, soon=soon, site=site):
        yield titles.of(due.site, due.location, due.category), due.overdue, due.soon


def lines_by_group(register: Register, lines: Iterable[DueLine], *, by: DueGrouping) -> dict[str, list[DueLine]]:
    """The lines of a board by the titles of their groups, in the board's order."""
    titles = _Titles(register, by)
    grouped: dict[str, list[DueLine]] = {}
    for line in lines:
        month = line.due.isoformat()[: len("2026-11")] if line.due else ""
        title = _month_title(month) if by is DueGrouping.MONTH else titles.of_item(line.appliance)
        grouped.setdefault(title, []).append(line)
    return grouped


def lines_of_group(
    register: Register, *, by: DueGrouping, title: str, today: date, within_days: int = 30, site: Uid | None = None
) -> tuple[DueLine, ...]:
    """The lines of one group: overdue, due soon, or never inspected."""
    lines = list_due(register, today=today, within_days=within_days, site=site).with_repairs
    return tuple(lines_by_group(register, lines, by=by).get(title, ()))


UNDATED: Final = "without a date"


def _month_title(month: str) -> str:
    """A month as groups are sorted by it, with its name; what was never inspected, or is withdrawn, has none."""
    if not _MONTH.fullmatch(month):
        return DAMAGED if month else UNDATED
    return f"{month} {MONTH_NAMES[int(month[5:]) - 1]}"


class _Sum:
    """The counts of one group as they grow."""

    def __init__(self) -> None:
        self.overdue = self.soon = self.overdue_items = self.soon_items = self.never = self.withdrawn = 0
        self.months = [0] * MONTHS

    def group(self, title: str) -> DueGroup:
        counts = DueCounts(
            overdue=self.overdue,
            due_soon=self.soon,
            overdue_items=self.overdue_items,
            due_soon_items=self.soon_items,
            never=self.never,
            withdrawn=self.withdrawn,
        )
        return DueGroup(title=title, counts=counts, months=tuple(self.months))


class _Titles:
    """The titles of the groups that items belong to, each worked out once."""

    def __init__(self, register: Register, by: DueGrouping) -> None:
        self._register = register
        self.rules = RuleFinder(register)
        self._by = by
        self._categories: dict[Uid | None, str] = {each.uid: each.name for each in register.find_readable(Category)}
        self._known: dict[tuple[Uid, Uid, Uid | None], str] = {}

    def of_item(self, item: Appliance) -> str:
        return self.of(item.site, item.location, item.category)

    def of(self, place: Uid, location: Uid, category: Uid | None) -> str:
        at = (place, location, category)
        if at not in self._known:
            title = read_on(self._register, "A group", partial(self._title, place, location, category))
            self._known[at] = title if title is not None else DAMAGED
        return self._known[at]

    def _title(self, place: Uid, location: Uid, category: Uid | None) -> str:
        site = self.rules.site(place)
        match self._by:
            case DueGrouping.SITE:
                return site.name
            case DueGrouping.LOCATION:
                return f"{site.name}, {self.rules.location(location).name}"
            case DueGrouping.ENVIRONMENT:
                table = interval_table(load_rule_book(site.rule_book), site.interval_table)
                return table.environments.get(self.rules.location(location).environment or site.environment, DAMAGED)
            case DueGrouping.CATEGORY:
                return self._categories.get(category, DAMAGED) if category else "no category"
            case DueGrouping.RESPONSIBLE | DueGrouping.MONTH:
                return site.responsible or "nobody is named"


def _last_of_months(today: date) -> date:
    """The last day of the twelfth month."""
    year = min(today.year + 1, date.max.year)
    return date.fromordinal(max(today.toordinal(), date(year, today.month, 1).toordinal() - 1))
