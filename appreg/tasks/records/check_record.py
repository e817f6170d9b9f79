"""Check a record before it is kept: texts cleaned, references followed, rules that must exist, names not taken."""

import re
from decimal import Decimal
from functools import cache
from typing import Any, Final, TypeVar, get_args, get_type_hints

from msgspec.structs import replace

from appreg.core.judging.instrument_accuracy import parse_accuracy
from appreg.core.records.appliances import Fact
from appreg.core.records.job_records import Firm, Job
from appreg.core.records.kept_records import (
    Appliance,
    AssetTag,
    Category,
    Client,
    Instrument,
    Location,
    Person,
    Site,
    Visit,
)
from appreg.core.records.planning_records import Crew, DistrictTravel
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.rules.visual_list import all_visual_lines
from appreg.core.values.asset_tags import LONGEST_TAG
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.text import LONGEST, clean
from appreg.errors import InputRefused, asked_for
from appreg.register.lists.appliance_lists import appliance_by_tag
from appreg.register.opening.register_file import Register
from appreg.schedule.interval_choice import interval_table
from appreg.tasks.desk.find_rules import profile_at
from appreg.tasks.records.check_days import check_crew, check_site_days, check_way

Checkable = TypeVar(
    "Checkable", Appliance, Category, Client, Crew, DistrictTravel, Firm, Instrument, Job, Location, Person, Site, Visit
)

LONGEST_NOTE: Final = 4000
LONG_FIELDS: Final = frozenset({"notes", "accuracy", "qualifications", "extent", "limitations"})
_REFERENCES: Final = frozenset(
    {"uid", "client", "site", "location", "category", "person", "instrument", "feeds", "job"}
)
_PREFIX: Final = re.compile(r"[A-Z0-9]{1,8}")
_CODE: Final = re.compile(r"[A-Z0-9]{1,8}")
_PHASES: Final = (1, 3)
_FACTS: Final = frozenset(Fact)


def checked(register: Register, record: Checkable) -> Checkable:
    """The record fit to keep; raises InputRefused naming the field, or NotFound for what it refers to."""
    cleaned = _cleaned(record)
    match cleaned:
        case Client() | Firm():
            _named(cleaned.name, type(cleaned).__name__.lower())
        case Site():
            return _checked_site(register, cleaned)
        case Location():
            _check_location(register, cleaned)
        case Category():
            return _checked_category(register, cleaned)
        case Appliance():
            return _checked_appliance(register, cleaned)
        case Person():
            _check_person(cleaned)
        case Instrument():
            _check_instrument(cleaned)
        case Visit() | Job():
            _check_work(register, cleaned)
        case Crew() | DistrictTravel():
            _check_planning(register, cleaned)
    return cleaned


def _cleaned(record: Checkable) -> Checkable:
    kind = type(record).__name__.lower()
    changes: dict[str, Any] = {}
    for name in record.__struct_fields__:
        value = getattr(record, name)
        # Closed sets are texts too (StrEnum), and already clean.
        if type(value) is not str or name in _REFERENCES:
            continue
        words = f"{kind} {name.replace('_', ' ')}"
        longest = LONGEST_NOTE if name in LONG_FIELDS else LONGEST
        with asked_for(name):
            changes[name] = clean(value, field=words, longest=longest)
    return replace(record, **changes)


def _named(name: str, kind: str) -> None:
    if not name:
        raise InputRefused(f"{kind} name: nothing is typed; give it a name.", field="name")


def _checked_site(register: Register, site: Site) -> Site:
    _named(site.name, "site")
    register.get(Client, site.client)
    return checked_rules(register, site)


def checked_rules(register: Register, site: Site) -> Site:
    """The site with a prefix that no other has, and rules and days that exist; raises InputRefused naming the field."""
    site = replace(site, prefix=site.prefix.upper())
    if not _PREFIX.fullmatch(site.prefix):
        raise InputRefused(
            f"site prefix: “{site.prefix}” cannot begin a tag; use 1 to 8 letters A-Z or figures.", field="prefix"
        )
    for other in register.find(Site, prefix=site.prefix):
        if other.uid != site.uid:
            raise InputRefused(f"site prefix: {site.prefix} belongs to {other.name}; choose another.", field="prefix")
    with asked_for("rule_book"):
        book = load_rule_book(site.rule_book)
    with asked_for("interval_table"):
        table = interval_table(book, site.interval_table)
    _check_environment(site.environment, table.id, tuple(table.environments))
    with asked_for("landlord_profile"):
        profile_at(site, book)
    check_site_days(site)
    return site


def _check_environment(environment: str, table: str, known: tuple[str, ...]) -> None:
    if environment not in known:
        what = (
            f"“{environment}” is not in interval table {table}"
            if environment
            else "nothing says what kind of place it is"
        )
        raise InputRefused(f"{what}; choose one of {', '.join(known)}.", subject="environment", field="environment")


def _check_location(register: Register, location: Location) -> None:
    _named(location.name, "location")
    site = register.get(Site, location.site)
    check_environment_at(site, location)
    for other in register.find(Location, site=site.uid):
        if other.uid != location.uid and other.name.casefold() == location.name.casefold():
            raise InputRefused(
                f"location name: {site.name} has a location “{other.name}” already; choose another name.", field="name"
            )


def check_environment_at(site: Site, location: Location) -> None:
    """Raise InputRefused where the interval table of a site lacks the environment of a location there."""
    if location.environment:
        table = interval_table(load_rule_book(site.rule_book), site.interval_table)
        _check_environment(location.environment, table.id, tuple(table.environments))


def _checked_category(register: Register, category: Category) -> Category:
    _named(category.name, "category")
    category = replace(category, code=category.code.upper())
    if not _CODE.fullmatch(category.code):
        raise InputRefused(
            f"category code: “{category.code}” cannot be one; use 1 to 8 letters A-Z or figures.", field="code"
        )
    for other in register.find(Category, code=category.code):
        if other.uid != category.uid:
            raise InputRefused(f"category code: {category.code} belongs to {other.name}; choose another.", field="code")
    for each in category.visual_items:
        if each not in all_visual_lines():
            raise InputRefused(
                f"category visual list: there is no line “{each}”; choose among {', '.join(all_visual_lines())}.",
                field="visual_items",
            )
    _check_figures("category", category)
    return category


def label_tag(typed: str) -> AssetTag:
    """A tag in capitals; raises InputRefused where no label has room for it."""
    tag = typed.upper()
    if not tag or len(tag) > LONGEST_TAG:
        raise InputRefused(
            f"appliance tag: “{tag}” does not fit a label; use 1 to {LONGEST_TAG} characters.", field="tag"
        )
    return AssetTag(tag)


def check_plate(item: Appliance) -> None:
    """Raise InputRefused, naming the field, where a figure, the phases or a fact cannot be right; asks no register."""
    named = f"appliance {item.tag}".rstrip()
    _check_figures(named, item)
    if item.phases not in _PHASES:
        raise InputRefused(f"{named} phases: {item.phases} is neither 1 nor 3.", field="phases")
    if item.assumed is not None and not _FACTS.issuperset(item.assumed):
        raise InputRefused(f"{named} assumed: choose among {', '.join(Fact)}.", field="assumed")
    if not _FACTS.issuperset(item.measured):
        raise InputRefused(f"{named} measured: choose among {', '.join(Fact)}.", field="measured")


def _checked_appliance(register: Register, item: Appliance) -> Appliance:
    _named(item.name, "appliance")
    tag = label_tag(item.tag)
    other = appliance_by_tag(register, tag)
    if other is not None and other.uid != item.uid:
        raise InputRefused(f"appliance tag: {tag} is on another item ({other.name}); choose another.", field="tag")
    _check_place(register, item)
    if item.category:
        register.get(Category, item.category)
    if item.feeds == item.uid:
        raise InputRefused(
            f"appliance feeds: {tag} cannot feed itself; choose the item its cord is plugged into.", field="feeds"
        )
    if item.feeds:
        register.get(Appliance, item.feeds)
    check_plate(replace(item, tag=tag))
    return replace(item, tag=tag)


def _check_place(register: Register, item: Appliance) -> None:
    site, location = register.get(Site, item.site), register.get(Location, item.location)
    if location.site != site.uid:
        raise InputRefused(
            f"appliance {item.tag}: location “{location.name}” is not at {site.name}; choose one there.",
            field="location",
        )


_ZERO_ALLOWED: Final = frozenset({"power_w", "rcd_delay_ms"})
_NO_FIGURE: Final = "phases"
"""One of a few numbers, which has words of its own."""


@cache
def _figures_of(kind: type[Any]) -> tuple[str, ...]:
    """The fields that hold a figure of the plate, the cord or the plug, by their type hints."""
    hints = get_type_hints(kind).items()
    return tuple(name for name, hint in hints if {Decimal, int} & {hint, *get_args(hint)} and name != _NO_FIGURE)


def _check_figures(kind: str, record: Appliance | Category) -> None:
    wanted: Any = type(record)
    for name in _figures_of(wanted):
        value: Decimal | int | None = getattr(record, name)
        if value is None:
            continue
        if not Decimal(value).is_finite() or value < 0 or (value == 0 and name not in _ZERO_ALLOWED):
            words = name.rsplit("_", 1)[0].replace("_", " ")
            raise InputRefused(
                f"{kind} {words}: {value} cannot be right; give a figure above 0 or leave it empty.", field=name
            )


def _check_person(person: Person) -> None:
    _named(person.name, "person")
    if not person.initials:
        raise InputRefused(
            "person initials: nothing is typed; labels and reports are signed with them.", field="initials"
        )


def _check_planning(register: Register, record: Crew | DistrictTravel) -> None:
    if isinstance(record, Crew):
        _named(record.name, "crew")
        check_crew(register, record)
    else:
        check_way(register, record)


def _check_instrument(instrument: Instrument) -> None:
    _named(instrument.name, "instrument")
    if not instrument.serial:
        raise InputRefused("instrument serial: nothing is typed; readings are traced by it.", field="serial")
    parse_accuracy(instrument.accuracy)


def _check_work(register: Register, record: Visit | Job) -> None:
    if isinstance(record, Job):
        _check_job(register, record)
    else:
        _check_visit(register, record)


def _check_visit(register: Register, visit: Visit) -> None:
    register.get(Site, visit.site)
    register.get(Person, visit.person)
    if visit.instrument:
        register.get(Instrument, visit.instrument)
    if visit.job and register.get(Job, visit.job).site != visit.site:
        raise InputRefused("visit job: that job is at another site; choose one of this site.", field="job")


def _check_job(register: Register, job: Job) -> None:
    _named(job.name, "job")
    site = register.get(Site, job.site)
    for other in register.find(Job, site=site.uid):
        if other.uid != job.uid and other.name.casefold() == job.name.casefold():
            raise InputRefused(
                f"job name: {site.name} has a job “{other.name}” already; choose another name.", field="name"
            )
    if job.wiring_on and job.wiring_next and job.wiring_next < job.wiring_on:
        raise InputRefused(
            f"job: the fixed wiring cannot fall due on {date_words(job.wiring_next)}, before its report of "
            f"{date_words(job.wiring_on)}; correct one of them.",
            field="wiring_next",
        )
