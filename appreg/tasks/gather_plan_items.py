"""Gather what a plan of visits is made for: the items in service, what falls due on them, how long each takes."""

from collections.abc import Callable, Iterable, Iterator
from datetime import date
from functools import partial

from appreg.core.appliances import ServiceState
from appreg.core.check_minutes import CheckMinutes
from appreg.core.checks import Check
from appreg.core.interval_tables import Interval
from appreg.core.item_facts import facts_of
from appreg.core.lean_dataclasses import dataclass
from appreg.core.periods import Period
from appreg.core.records import Appliance
from appreg.core.required_checks import required_checks
from appreg.core.rule_book_loading import load_rule_book
from appreg.core.uids import Uid
from appreg.register.appliance_lists import appliances_of
from appreg.register.register_file import Register
from appreg.schedule.plan_items import PlanItem, PlanLine
from appreg.tasks.find_rules import RuleFinder, Supposed
from appreg.tasks.read_on import note_damaged_items, read_on
from appreg.tasks.settle_standing import read_standing, settled


@dataclass(frozen=True, slots=True, kw_only=True)
class GatheredItem:
    """An item with what falls due on it."""

    appliance: Appliance
    """With its next dates as the rules, or those supposed, give them."""
    due: PlanItem


class PlanGatherer:
    """Gathers items of many sites, as if the register held the records supposed."""

    def __init__(self, register: Register, minutes: CheckMinutes, supposed: Iterable[Supposed] = ()) -> None:
        self._register = register
        self._minutes = minutes
        self._supposed = tuple(supposed)
        self.rules = RuleFinder(register, self._supposed)

    def of_site(self, site: Uid) -> Iterator[GatheredItem]:
        """Items in service at a site on which something falls due by the calendar, by tag."""
        note_damaged_items(self._register, site=site)
        for kept in appliances_of(self._register, site=site, states=(ServiceState.IN_SERVICE,), readable=True):
            # What is supposed is a person's own answer, and refused to their face.
            gather = partial(self._gathered, kept)
            gathered = gather() if self._supposed else read_on(self._register, kept.tag, gather)
            if gathered is not None:
                yield gathered

    def _gathered(self, kept: Appliance) -> GatheredItem | None:
        item = self._as_supposed(kept)
        visual, test = self._visual(item), self._test(item)
        if visual or test:
            return GatheredItem(appliance=item, due=PlanItem(key=item.uid, visual=visual, test=test))
        return None

    def _as_supposed(self, item: Appliance) -> Appliance:
        if not self._supposed or not item.last_inspection:
            return item
        return settled(item, read_standing(self._register, item.uid), self.rules.of(item))

    def _visual(self, item: Appliance) -> PlanLine | None:
        period = _chosen(self.rules.answer(item).visual, item)
        return self._line(period, item.next_visual, lambda: (Check.VISUAL,))

    def _test(self, item: Appliance) -> PlanLine | None:
        periods = [_chosen(self.rules.answer(item).test, item), self.rules.test_max(item)]
        period = min((each for each in periods if each), default=None)
        book = self.rules.site(item.site).rule_book
        return self._line(period, item.next_test, lambda: required_checks(facts_of(item), load_rule_book(book)))

    def _line(self, period: Period | None, due: date | None, checks: Callable[[], Iterable[Check]]) -> PlanLine | None:
        return None if period is None else PlanLine(due=due, period=period, minutes=self._minutes.of(checks()))


def _chosen(interval: Interval | None, item: Appliance) -> Period | None:
    return interval.chosen(bool(item.longer_interval_reason)) if interval else None
