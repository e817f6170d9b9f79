"""List what is due: across all sites or at one."""

from collections.abc import Sequence
from datetime import date
from functools import partial

from msgspec import Struct

from appreg.core.records.appliances import NOT_THE_LANDLORDS
from appreg.core.records.kept_records import Appliance
from appreg.core.rules.item_facts import equipment_key_of
from appreg.core.values.counted_words import counted, items_and_inspections
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.lists.due_lists import (
    What,
    count_dates,
    count_items,
    count_withdrawn,
    due_rows,
    first_due_rows,
    never_inspected,
)
from appreg.register.lists.item_kinds import item_kinds
from appreg.register.lists.never_tested import never_tested
from appreg.register.opening.register_file import Register
from appreg.schedule.due_reasons import due_reason
from appreg.schedule.due_states import DueState, is_overdue
from appreg.tasks.desk.find_rules import RuleFinder
from appreg.tasks.desk.read_on import note_damaged_items, read_on
from appreg.tasks.inspecting.list_repairs import list_repairs
from appreg.tasks.standing.due_lines import DueLine


class DueCounts(Struct, frozen=True, kw_only=True):
    """How many inspections are due, on how many items; an item may wait for two."""

    overdue: int
    """Inspections."""
    due_soon: int
    """Inspections."""
    overdue_items: int
    due_soon_items: int
    """Items with nothing overdue."""
    never: int
    """Items in service that were never inspected."""
    withdrawn: int
    """Items withdrawn from service; they have no lines."""

    def words(self, within_days: int) -> tuple[str, str, str, str]:
        """Overdue, due soon, never inspected and withdrawn, each with what is counted, as screen and command line say it."""
        more = "more" if self.overdue_items else ""
        return (
            f"overdue {items_and_inspections(self.overdue_items, self.overdue)}",
            f"due in {within_days} days {items_and_inspections(self.due_soon_items, self.due_soon, kind=more)}",
            f"never inspected {counted(self.never, 'item')}",
            f"withdrawn {counted(self.withdrawn, 'item')}",
        )


class DueBoard(Struct, frozen=True, kw_only=True):
    """All that is overdue, due soon or never inspected."""

    on: date
    within_days: int
    counts: DueCounts
    lines: tuple[DueLine, ...]
    """By date, those never inspected last."""
    repairs: tuple[DueLine, ...] = ()
    """Failures that a landlord's duty wants put right by a day, all of them; not among the counts."""

    @property
    def with_repairs(self) -> tuple[DueLine, ...]:
        """Lines and repairs by date, those never inspected last."""
        return tuple(sorted((*self.repairs, *self.lines), key=lambda line: line.due or date.max))


def list_due(register: Register, *, today: date, within_days: int = 30, site: Uid | None = None) -> DueBoard:
    """List what is overdue, due within so many days, or was never inspected, of items in service."""
    if within_days < 0:
        raise InputRefused(f"within: {within_days} days lie in the past; give 0 or more.")
    note_damaged_items(register, site=site, quick=True)
    rules = RuleFinder(register)
    lines = _dated_lines(register, rules, due_rows(register, until=last_day(today, within_days), site=site), today)
    never = [
        line
        for item in never_inspected(register, site=site)
        if (line := read_on(register, item.tag, partial(_never_line, rules, item, today))) is not None
    ]
    repairs = list_repairs(register, rules, today=today, within_days=within_days, site=site)
    late = [line.appliance.uid for line in lines if line.state is DueState.OVERDUE]
    counts = DueCounts(
        overdue=len(late),
        due_soon=len(lines) - len(late),
        overdue_items=len({*late}),
        due_soon_items=len({line.appliance.uid for line in lines} - {*late}),
        never=len(never),
        withdrawn=count_withdrawn(register, site=site),
    )
    return DueBoard(on=today, within_days=within_days, counts=counts, lines=(*lines, *never), repairs=repairs)


def count_due(register: Register, *, today: date, within_days: int = 30, site: Uid | None = None) -> DueCounts:
    """The counts of list_due alone, without reading its lines."""
    rules = RuleFinder(register)
    until = last_day(today, within_days)
    overdue, soon = count_dates(register, today=today, until=until, site=site)
    overdue_items, soon_items = count_items(register, today=today, until=until, site=site)
    never = sum(
        kind.items
        for kind in item_kinds(register, site=site, never=True)
        if read_on(register, "A site", partial(rules.is_waited_for_at, kind.site, kind.location, kind.key))
    )
    return DueCounts(
        overdue=overdue,
        due_soon=soon,
        overdue_items=overdue_items,
        due_soon_items=soon_items,
        never=never,
        withdrawn=count_withdrawn(register, site=site),
    )


def first_due(
    register: Register, *, today: date, within_days: int = 30, site: Uid | None = None, limit: int
) -> tuple[DueLine, ...]:
    """The first lines of list_due, as quick as there are few of them."""
    rules = RuleFinder(register)
    rows = first_due_rows(register, until=last_day(today, within_days), site=site, limit=limit)
    return tuple(_dated_lines(register, rules, rows, today))


def last_day(today: date, within_days: int) -> date:
    """The last day that is soon, never past the calendar's end."""
    return date.fromordinal(min(today.toordinal() + within_days, date.max.toordinal()))


def _dated_lines(
    register: Register, rules: RuleFinder, rows: Sequence[tuple[Appliance, What, date]], today: date
) -> list[DueLine]:
    """The lines of what can be read; the rest is noted as damaged."""
    # A test that passed is due no sooner than the last inspection, unless visual ones were made after it was.
    asked = [
        item.uid for item, what, due in rows if what == "test" and item.last_date is not None and due <= item.last_date
    ]
    untested = never_tested(register, asked)
    lines = (
        read_on(register, item.tag, partial(_dated_line, rules, item, what, due, today, first=item.uid in untested))
        for item, what, due in rows
    )
    return [line for line in lines if line is not None]


def _dated_line(rules: RuleFinder, item: Appliance, what: What, due: date, today: date, *, first: bool) -> DueLine:
    """One date; `first`: the item never passed a test."""
    age = f"never tested, here since {date_words(due)}; " if first and what == "test" else ""
    return DueLine(
        appliance=item,
        site=rules.site(item.site),
        location=rules.location(item.location),
        what=what,
        due=due,
        # Rows reach as far as is soon: what is not late is soon.
        state=DueState.OVERDUE if is_overdue(due, today) else DueState.DUE_SOON,
        days=(due - today).days,
        because=age + _because(rules, item, what),
    )


def _never_line(rules: RuleFinder, item: Appliance, today: date) -> DueLine | None:
    """An item for which neither table nor duty asks anything is not waited for."""
    if not rules.is_waited_for(item):
        return None
    what: What = "visual" if rules.answer(item).test is None and rules.test_max(item) is None else "test"
    return DueLine(
        appliance=item,
        site=rules.site(item.site),
        location=rules.location(item.location),
        what=what,
        due=None,
        state=DueState.NEVER,
        days=None,
        because=_first_check(rules, item, today) + _because(rules, item, what),
    )


def _first_check(rules: RuleFinder, item: Appliance, today: date) -> str:
    """The day before which a landlord's duty wants the first check, in front of the table's reason."""
    profile = rules.profile(item)
    if profile is None or profile.first_check_before is None or item.owner in NOT_THE_LANDLORDS:
        return ""
    past = ", which is past" if today >= profile.first_check_before else ""
    return f"{profile.title}: first check before {date_words(profile.first_check_before)}{past}; "


def _because(rules: RuleFinder, item: Appliance, what: What) -> str:
    answer, longer = rules.answer(item), bool(item.longer_interval_reason)
    interval = answer.test if what == "test" else answer.visual
    profile, longest = rules.profile(item), rules.test_max(item)
    if what == "test" and profile and longest:
        chosen = interval.chosen(longer) if interval else None
        if chosen is None or longest < chosen:
            return f"{profile.title}, at most {longest.words}"
    return due_reason(answer, interval, equipment_key_of(item), longer=longer)
