"""Find the rules that hold for an item: its site's book and table, its location's environment."""

from dataclasses import dataclass

from appreg.core.interval_tables import EquipmentKey, IntervalAnswer, LandlordProfile
from appreg.core.item_facts import equipment_key_of
from appreg.core.records import Appliance, Location, Site
from appreg.core.rule_book import RuleBook
from appreg.core.rule_book_loading import load_rule_book
from appreg.core.uids import Uid
from appreg.errors import InputRefused
from appreg.register.register_file import Register
from appreg.schedule.interval_choice import choose_interval


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemRules:
    """Where an item stands and what is asked of it there."""

    site: Site
    location: Location
    book: RuleBook
    environment: str
    """Id of the environment that holds: the location's, else the site's."""
    answer: IntervalAnswer
    profile: LandlordProfile | None
    """The statutory duty at the site, if any."""


class RuleFinder:
    """Finds the rules of many items, reading each site, location and row once."""

    __slots__ = ("_answers", "_locations", "_register", "_sites")

    def __init__(self, register: Register) -> None:
        """Find in this register."""
        self._register = register
        self._sites: dict[Uid, Site] = {}
        self._locations: dict[Uid, Location] = {}
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

    def answer(self, item: Appliance) -> IntervalAnswer:
        """What the interval table asks of the item."""
        site, environment, key = self.site(item.site), self.environment(item), equipment_key_of(item)
        at = (site.uid, environment, key)
        if at not in self._answers:
            book = load_rule_book(site.rule_book)
            self._answers[at] = choose_interval(book, site.interval_table, environment, key)
        return self._answers[at]

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
            profile=self.profile(item),
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
