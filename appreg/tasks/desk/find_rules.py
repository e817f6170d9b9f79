"""Find the rules that hold for an item: its site's book and table, its location's environment."""

from collections.abc import Iterable
from functools import cached_property

from msgspec import Struct

from appreg.core.records.kept_records import Appliance, Location, Site
from appreg.core.records.work_records import IntervalKind, IntervalOverride
from appreg.core.rules.interval_tables import EquipmentKey, IntervalAnswer, IntervalTable, LandlordProfile
from appreg.core.rules.item_facts import equipment_key_of
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.periods import Period
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.opening.register_file import Register
from appreg.schedule.interval_choice import choose_interval, interval_table
from appreg.schedule.interval_overrides import (
    LongestAllowed,
    longest_allowed,
    longest_unsigned,
    one_in_force,
    overridden,
)

Supposed = Site | Location | IntervalOverride
"""What may stand in for a record of the register, or be added to it, to see what would follow."""


class ItemRules(Struct, frozen=True, kw_only=True):
    """Where an item stands and what is asked of it there."""

    site: Site
    location: Location
    book: RuleBook
    environment: str
    """Id of the environment that holds: the location's, else the site's."""
    answer: IntervalAnswer
    """The table's answer, with the intervals set by hand."""
    table: IntervalAnswer
    """The table's alone."""
    profile: LandlordProfile | None
    """The statutory duty at the site, if any."""
    test_max: Period | None
    """The statutory longest interval between tests; None also where a duty holder signed for a longer one."""


class RuleFinder:
    """Finds the rules of many items, reading each site, location and row once."""

    def __init__(self, register: Register, supposed: Iterable[Supposed] = ()) -> None:
        """Find in this register, as if it held the records supposed."""
        self._register = register
        self._supposed = tuple(supposed)
        self._sites = {each.uid: each for each in self._supposed if isinstance(each, Site)}
        self._locations = {each.uid: each for each in self._supposed if isinstance(each, Location)}
        self._answers: dict[tuple[Uid, str, EquipmentKey], IntervalAnswer] = {}

    def site(self, uid: Uid) -> Site:
        """The site with this key."""
        if uid not in self._sites:
            self._sites[uid] = self._register.get(Site, uid)
        return self._sites[uid]

    def location(self, uid: Uid) -> Location:
        """The location with this key."""
        if uid not in self._locations:
            self._locations[uid] = self._register.get(Location, uid)
        return self._locations[uid]

    def environment(self, item: Appliance) -> str:
        """Id of the environment in which the item is used."""
        return self.location(item.location).environment or self.site(item.site).environment

    def table_answer(self, item: Appliance) -> IntervalAnswer:
        """What the interval table alone asks of the item."""
        return self.answer_at(item.site, item.location, equipment_key_of(item))

    def answer_at(self, site_uid: Uid, location: Uid, key: EquipmentKey) -> IntervalAnswer:
        """What the interval table alone asks of such an item at a location."""
        site = self.site(site_uid)
        environment = self.location(location).environment or site.environment
        at = (site.uid, environment, key)
        if at not in self._answers:
            book = load_rule_book(site.rule_book)
            self._answers[at] = choose_interval(book, site.interval_table, environment, key)
        return self._answers[at]

    def answer(self, item: Appliance) -> IntervalAnswer:
        """What is asked of the item: the table's answer, with the intervals set by hand."""
        answer = self.table_answer(item)
        if self._overrides:
            for kind in IntervalKind:
                override = self.override(item, kind)
                if override is not None:
                    answer = overridden(answer, override, self.longest_allowed(item, kind))
        return answer

    def override(self, item: Appliance, kind: IntervalKind) -> IntervalOverride | None:
        """The interval set by hand that holds for the item, if any."""
        targets = (item.uid, item.location, item.category)
        return one_in_force(each for target in targets for each in self._overrides.get((target, kind), ()))

    def longest_allowed(self, item: Appliance, kind: IntervalKind) -> LongestAllowed | None:
        """The limit to which an interval set for the item is cut unless a duty holder signed for more than it."""
        return longest_allowed(self._table(item), self.table_answer(item), self.profile(item), kind)

    def longest_unsigned(self, item: Appliance, kind: IntervalKind) -> LongestAllowed | None:
        """The longest interval that a person may set for the item without a duty holder's signature."""
        return longest_unsigned(self._table(item), self.table_answer(item), self.profile(item), kind)

    def _table(self, item: Appliance) -> IntervalTable:
        site = self.site(item.site)
        return interval_table(load_rule_book(site.rule_book), site.interval_table)

    def test_max(self, item: Appliance) -> Period | None:
        """The statutory longest interval between tests; None also where a duty holder signed for a longer one."""
        profile = self.profile(item)
        if profile is None:
            return None
        override = self.override(item, IntervalKind.TEST)
        return None if override is not None and override.signed_by_duty_holder else profile.test_max

    def is_waited_for(self, item: Appliance) -> bool:
        """Tell whether the table, a hand or a duty asks for any inspection of the item by the calendar."""
        answer = self.answer(item)
        return any(asked is not None for asked in (answer.visual, answer.test, self.test_max(item)))

    def is_waited_for_at(self, site_uid: Uid, location: Uid, key: EquipmentKey) -> bool:
        """Tell the same of such an item at a location, whatever is set by hand."""
        answer, site = self.answer_at(site_uid, location, key), self.site(site_uid)
        duty = profile_at(site, load_rule_book(site.rule_book)) if site.landlord_profile else None
        return any(asked is not None for asked in (answer.visual, answer.test, duty.test_max if duty else None))

    @cached_property
    def _overrides(self) -> dict[tuple[Uid | None, IntervalKind], list[IntervalOverride]]:
        """By target and kind: the intervals set by hand, those supposed in place of those kept."""
        supposed = {each.uid: each for each in self._supposed if isinstance(each, IntervalOverride)}
        kept = {each.uid: each for each in self._register.find(IntervalOverride)}
        listed: dict[tuple[Uid | None, IntervalKind], list[IntervalOverride]] = {}
        for each in (kept | supposed).values():
            listed.setdefault((each.target, each.what), []).append(each)
        return listed

    def profile(self, item: Appliance) -> LandlordProfile | None:
        """The statutory duty where the item stands, if any."""
        site = self.site(item.site)
        return profile_at(site, load_rule_book(site.rule_book)) if site.landlord_profile else None

    def of(self, item: Appliance) -> ItemRules:
        """All that holds for the item."""
        site = self.site(item.site)
        return ItemRules(
            site=site,
            location=self.location(item.location),
            book=load_rule_book(site.rule_book),
            environment=self.environment(item),
            answer=self.answer(item),
            table=self.table_answer(item),
            profile=self.profile(item),
            test_max=self.test_max(item),
        )


def rules_of(register: Register, item: Appliance) -> ItemRules:
    """All that holds for one item."""
    return RuleFinder(register).of(item)


def profile_at(site: Site, book: RuleBook) -> LandlordProfile | None:
    """The statutory duty at a site; raises InputRefused where the book does not know it."""
    if not site.landlord_profile:
        return None
    if site.landlord_profile not in book.landlord_profiles:
        known = ", ".join(book.landlord_profiles) or "none"
        raise InputRefused(
            f"{site.name}: rule book {book.id} has no landlord profile “{site.landlord_profile}”; it has {known}."
        )
    return book.landlord_profiles[site.landlord_profile]
