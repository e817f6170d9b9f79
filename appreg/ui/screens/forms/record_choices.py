"""Answers of a form that come from the register, the rule books and the closed sets of the trade."""

from collections.abc import Iterable
from typing import Final

from appreg.core.records.appliances import ApplianceClass, Connection, EquipmentType, Owner, RcdKind, RcdMounting
from appreg.core.records.kept_records import Appliance, Category, Client, Instrument, Location, Person
from appreg.core.records.planning_records import Crew, DistrictTravel
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.rule_book_loading import RULE_BOOK_IDS, load_rule_book
from appreg.core.values.uids import Uid
from appreg.register.opening.register_file import Register
from appreg.schedule.interval_choice import interval_table
from appreg.tasks.inspecting.keep_job import jobs_of
from appreg.ui.screens.forms.form_fields import Choice, FormField

NONE = Choice("", "none")

_RCD_TITLES = {
    RcdKind.GENERAL: "general, not delayed",
    RcdKind.S: "type S, delayed",
    RcdKind.BS4293: "BS 4293",
    RcdKind.PORTABLE: "portable",
    RcdKind.ANZ_1: "type I, up to 10 mA (Australia, New Zealand)",
    RcdKind.ANZ_2: "type II, up to 30 mA (Australia, New Zealand)",
}


def class_and_type(was: Appliance | Category | None) -> tuple[FormField, FormField]:
    """The two questions that an item and a category have in common: what class, what type."""
    return (
        FormField(
            name="appliance_class",
            label="Class",
            value=(was.appliance_class if was else ApplianceClass.CLASS_I).value,
            choices=tuple(Choice(each.value, each.label) for each in ApplianceClass),
        ),
        FormField(
            name="equipment_type",
            label="Type",
            value=(was.equipment_type if was else EquipmentType.PORTABLE).value,
            choices=tuple(Choice(each.value, each.label) for each in EquipmentType),
        ),
    )


_ITSELF: Final = "@"
"""Between kind and mounting of a device that is an item of its own."""


def rcd_choices() -> tuple[Choice, ...]:
    """The residual current devices, none first: fitted in lead or plug, or the item itself."""
    fitted = (Choice(each.value, _RCD_TITLES[each]) for each in RcdKind)
    itself = (
        Choice(f"{kind}{_ITSELF}{mounting}", f"the item itself, {mounting}: {_RCD_TITLES[kind]}")
        for mounting in RcdMounting
        for kind in RcdKind
    )
    unknown = (Choice(f"{_ITSELF}{each}", f"the item itself, {each}: kind not known") for each in RcdMounting)
    return (NONE, *fitted, *itself, *unknown)


def rcd_answer(was: Appliance | Category | None) -> str:
    """The choice that says what device a record has."""
    if was is None:
        return ""
    return f"{was.rcd or ''}{_ITSELF}{was.rcd_mounting}" if was.rcd_mounting else was.rcd or ""


def rcd_of_answer(chosen: str) -> tuple[RcdKind | None, RcdMounting | None]:
    """Kind and mounting of a chosen device: one answer, so that the two cannot contradict each other."""
    kind, _, mounting = chosen.partition(_ITSELF)
    return (RcdKind(kind) if kind else None), (RcdMounting(mounting) if mounting else None)


def connection_choices() -> tuple[Choice, ...]:
    """How an item may be connected, first as its type and battery say."""
    return (Choice("", "as type and battery say"), *(Choice(each.value, each.label) for each in Connection))


def owner_choices() -> tuple[Choice, ...]:
    """Whose an item may be."""
    return (Choice("", "not stated"), *(Choice(each.value, each.value) for each in Owner))


def client_choices(register: Register) -> tuple[Choice, ...]:
    """All clients by name."""
    return _by_title(Choice(each.uid, each.name) for each in register.find(Client))


def person_choices(register: Register) -> tuple[Choice, ...]:
    """All people by name, with initials."""
    return _by_title(Choice(each.uid, f"{each.name} ({each.initials})") for each in register.find(Person))


def instrument_choices(register: Register) -> tuple[Choice, ...]:
    """All instruments by name, with serial; none is an answer too."""
    found = _by_title(Choice(each.uid, f"{each.name}, serial {each.serial}") for each in register.find(Instrument))
    return (*found, NONE)


def job_choices(register: Register, site: Uid) -> tuple[Choice, ...]:
    """The jobs at a site, the latest first; none is the first answer."""
    return (NONE, *(Choice(each.uid, each.name) for each in jobs_of(register, site)))


def crew_choices(register: Register) -> tuple[Choice, ...]:
    """All crews by name."""
    return _by_title(Choice(each.uid, each.name) for each in register.find(Crew))


def way_choices(register: Register) -> tuple[Choice, ...]:
    """All ways between districts."""
    ways = register.find(DistrictTravel)
    return _by_title(Choice(each.uid, f"{each.district} and {each.other}, {each.minutes} min") for each in ways)


def location_choices(register: Register, site: Uid) -> tuple[Choice, ...]:
    """The locations of a site by name."""
    return _by_title(Choice(each.uid, each.name) for each in register.find(Location, site=site))


def category_choices(register: Register) -> tuple[Choice, ...]:
    """All categories by name, none first."""
    return (NONE, *_by_title(Choice(each.uid, f"{each.name} ({each.code})") for each in register.find(Category)))


def appliance_choices(register: Register, site: Uid, other_than: Uid) -> tuple[Choice, ...]:
    """The items of a site that a cord set may feed, none first."""
    items = [each for each in register.find(Appliance, site=site) if each.uid != other_than]
    return (NONE, *_by_title(Choice(each.uid, f"{each.tag} {each.name}") for each in items))


def rule_book_choices() -> tuple[Choice, ...]:
    """The rule books that come with the program."""
    return tuple(Choice(each, load_rule_book(each).named()) for each in RULE_BOOK_IDS)


def table_choices(book: RuleBook) -> tuple[Choice, ...]:
    """The interval tables of a book, its default first."""
    default = interval_table(book, "")
    others = [each for each in book.interval_tables.values() if each.id != default.id]
    named = [Choice(each.id, f"{each.id}: {each.title}") for each in others]
    return (Choice("", f"{default.id}, the default: {default.title}"), *named)


def environment_choices(book: RuleBook, table_id: str) -> tuple[Choice, ...]:
    """The environments of an interval table."""
    table = interval_table(book, table_id)
    return tuple(Choice(id_, title) for id_, title in table.environments.items())


def profile_choices(book: RuleBook) -> tuple[Choice, ...]:
    """The statutory duties that a book knows, none first."""
    profiles = (Choice(each.id, each.title) for each in book.landlord_profiles.values())
    return (Choice("", "none known"), *profiles)


def _by_title(choices: Iterable[Choice]) -> tuple[Choice, ...]:
    return tuple(sorted(choices, key=lambda choice: choice.title.casefold()))
