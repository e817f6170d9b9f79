"""What `appreg new` makes within a register: each kind with the options that belong to it."""

import argparse
from collections.abc import Callable, Mapping
from typing import Any, Final

from appreg.cli.named_records import client_named, instrument_named, location_named, person_named
from appreg.cli.opening import site_named
from appreg.clock import local_today
from appreg.core.records.appliances import Connection
from appreg.core.records.kept_records import Appliance, Record, Site
from appreg.core.values.asset_tags import prefix_from_name
from appreg.core.values.counted_words import counted
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.typed_values import whole_typed
from appreg.errors import InputRefused, UsageRefused
from appreg.register.opening.register_file import Register
from appreg.schedule.kept_days import line_of
from appreg.schedule.typed_closures import closures_typed
from appreg.schedule.typed_days import rule_typed
from appreg.tasks.inspecting.keep_job import add_job, job_named, visits_typed
from appreg.tasks.inspecting.start_visit import refuse_day_ahead, start_visit, visit_cautions
from appreg.tasks.records.add_category import add_category
from appreg.tasks.records.add_client import add_client
from appreg.tasks.records.add_crew import add_crew, add_way
from appreg.tasks.records.add_instrument import add_instrument
from appreg.tasks.records.add_location import add_location
from appreg.tasks.records.add_person import add_person
from appreg.tasks.records.add_site import add_site
from appreg.tasks.records.add_walked_items import add_walked_items
from appreg.tasks.records.item_fields import WalkedFields
from appreg.tasks.records.keep_firm import keep_firm
from appreg.tasks.records.look_up_figure import note_looked_up
from appreg.ui.screens.forms.walked_fields import walked_fields

Made = tuple[tuple[Record, str], ...]
"""Each record that was made, with how people know it."""


def make_records(register: Register, who: str, args: argparse.Namespace, *, say: Callable[[str], None]) -> Made:
    """Make what is asked for; raises UsageRefused and InputRefused naming the option."""
    return _MAKERS[args.what](register, who, args, say)


def _needed(args: argparse.Namespace, option: str) -> str:
    value = getattr(args, option.replace("-", "_"))
    if not value:
        raise UsageRefused(f"A new {args.what} needs --{option}.")
    return str(value)


def _name(args: argparse.Namespace) -> str:
    if not args.name:
        raise UsageRefused(f"A new {args.what} needs a name: appreg new {args.what} NAME.")
    return str(args.name)


def _given(args: argparse.Namespace, *options: str) -> dict[str, Any]:
    return {name: value for name in options if (value := getattr(args, name)) is not None}


def _client(register: Register, who: str, args: argparse.Namespace, _say: Callable[[str], None]) -> Made:
    given = _given(args, "address", "agent_name", "agent_address", "notes")
    client = add_client(register, who, name=_name(args), **given)
    return ((client, client.name),)


def _site(register: Register, who: str, args: argparse.Namespace, _say: Callable[[str], None]) -> Made:
    name = _name(args)
    client = client_named(register, _needed(args, "client"))
    prefix = args.prefix or prefix_from_name(name, {each.prefix for each in register.find(Site)})
    given = _given(
        args, "address", "rule_book", "interval_table", "landlord_profile", "notes", "responsible", "responsible_contact",
        "district",
    )  # fmt: skip
    environment = _needed(args, "environment")
    site = add_site(
        register,
        who,
        client=client.uid,
        name=name,
        prefix=prefix,
        environment=environment,
        guarded=bool(args.guarded),
        access_days=rule_typed(args.days or ""),
        access_from=args.counted_from,
        closures=_spans(args.closed, "--closed"),
        preferred=_spans(args.preferred, "--preferred"),
        set_up_minutes=_number(args.set_up_minutes, "--set-up-minutes", 0),
        travel_minutes=_number(args.travel_minutes, "--travel-minutes", 0),
        **given,
    )
    return ((site, f"{site.name}, whose tags begin with {site.prefix}"),)


def _location(register: Register, who: str, args: argparse.Namespace, _say: Callable[[str], None]) -> Made:
    site = site_named(register, _needed(args, "site"))
    location = add_location(register, who, site=site.uid, name=_name(args), environment=args.environment or "")
    return ((location, f"{location.name} of {site.name}"),)


def _person(register: Register, who: str, args: argparse.Namespace, _say: Callable[[str], None]) -> Made:
    given = _given(args, "address", "qualifications", "firm")
    person = add_person(register, who, name=_name(args), initials=_needed(args, "initials"), **given)
    return ((person, f"{person.name} ({person.initials})"),)


def _instrument(register: Register, who: str, args: argparse.Namespace, _say: Callable[[str], None]) -> Made:
    given = _given(args, "calibration_due", "accuracy", "notes")
    instrument = add_instrument(register, who, name=_name(args), serial=_needed(args, "serial"), **given)
    return ((instrument, f"{instrument.name} ({instrument.serial})"),)


def _category(register: Register, who: str, args: argparse.Namespace, _say: Callable[[str], None]) -> Made:
    name, code = _name(args), _needed(args, "code")
    for option in ("class", "type"):
        if not getattr(args, {"class": "appliance_class", "type": "equipment_type"}[option]):
            raise UsageRefused(f"A new category needs --{option}.")
    given: dict[str, Any] = {**_short_fields(args)}
    if given.pop("measured", ()):
        raise UsageRefused("--cord: nothing is measured on a category; leave measured out.")
    if args.volts:
        given["rated_volts"] = whole_typed(args.volts, field="--volts", units=("V",))
    if args.connection:
        given["connection"] = _connection(args.connection)
    flags = ("heating", "microwave", "battery", "moulded_plug", "mineral_insulated", "unsuitable_500v")
    also = tuple(word.strip() for word in (args.also_called or "").split(",") if word.strip())
    given |= {"synonyms": also, **{flag: getattr(args, flag) for flag in flags}}
    category = add_category(register, who, name=name, code=code, **given)
    return ((category, f"{category.name} ({category.code})"),)


def _connection(typed: str) -> Connection:
    try:
        return Connection(typed.casefold())
    except ValueError:
        known = ", ".join(each.value for each in Connection)
        raise InputRefused(f"--connection: “{typed[:40]}” is none; choose among {known}.") from None


def _short_fields(args: argparse.Namespace) -> WalkedFields:
    typed = {"class": args.appliance_class, "type": args.equipment_type}
    typed |= {"cord": args.cord, "fuse": args.fuse, "power": args.power}
    return walked_fields({name: text or "" for name, text in typed.items()})


def _crew(register: Register, who: str, args: argparse.Namespace, _say: Callable[[str], None]) -> Made:
    crew = add_crew(
        register,
        who,
        name=_name(args),
        people=_number(args.people, "--people", 1),
        minutes_a_day=_number(args.minutes_a_day, "--minutes-a-day", 420),
        days=rule_typed(args.days or ""),
        days_from=args.counted_from,
        absent=_spans(args.away, "--away"),
        **_given(args, "base", "notes"),
    )
    return ((crew, f"{crew.name}, {crew.people} × {crew.minutes_a_day} min a day"),)


def _way(register: Register, who: str, args: argparse.Namespace, _say: Callable[[str], None]) -> Made:
    district, other = _name(args), _needed(args, "other")
    minutes = _number(_needed(args, "travel-minutes"), "--travel-minutes", 0)
    way = add_way(register, who, district=district, other=other, minutes=minutes)
    return ((way, f"{way.district} and {way.other}, {way.minutes} min"),)


def _number(typed: str | None, option: str, usual: int) -> int:
    number = whole_typed(typed or "", field=option, units=("min",))
    return usual if number is None else number


def _spans(typed: str | None, option: str) -> tuple[str, ...]:
    """Days and spans as records keep them."""
    return tuple(line_of(each) for each in closures_typed(typed or "", field=option, today=local_today()))


def _items(register: Register, who: str, args: argparse.Namespace, _say: Callable[[str], None]) -> Made:
    typed = _name(args)
    site = site_named(register, _needed(args, "site"))
    location = location_named(register, site, _needed(args, "location"))
    given = _short_fields(args)
    if args.tag:
        given["tag"] = args.tag
    if args.owner_name:
        given["owner_name"] = args.owner_name
    items = add_walked_items(register, who, location=location.uid, typed=typed, **given)
    return tuple((item, f"{item.tag} {_what(item)}") for item in items)


def _what(item: Appliance) -> str:
    return f"{item.name}, {item.appliance_class.label}, {item.equipment_type.label}"


def _visit(register: Register, who: str, args: argparse.Namespace, say: Callable[[str], None]) -> Made:
    if args.name:
        raise UsageRefused("A visit has no name: give --site, --person and, for another day than today, --on.")
    today = local_today()
    on = args.on or today
    refuse_day_ahead(on, today=today, field="--on")
    site = site_named(register, _needed(args, "site"))
    person = person_named(register, _needed(args, "person"))
    instrument = instrument_named(register, args.instrument) if args.instrument else None
    job = job_named(register, args.job, site.uid).uid if args.job else None
    visit = start_visit(
        register,
        who,
        site=site.uid,
        job=job,
        on=on,
        person=person.uid,
        instrument=instrument.uid if instrument else None,
        additional_protection=bool(args.additional_protection),
        **_given(args, "instrument_check", "fixed_wiring_reference", "period_colour", "notes"),
    )
    for caution in visit_cautions(register, visit):
        say(caution)
    return ((visit, f"{site.name} on {date_words(visit.date)}"),)


def _job(register: Register, who: str, args: argparse.Namespace, _say: Callable[[str], None]) -> Made:
    name = _name(args)
    site = site_named(register, _needed(args, "site"))
    given = _given(
        args, "extent", "limitations", "wiring_report", "wiring_on", "wiring_next", "wiring_rcd", "signatory", "notes"
    )
    visits = visits_typed(register, site.uid, args.visits or "", today=local_today())
    job = add_job(register, who, site=site.uid, name=name, visits=visits, **given)
    return ((job, f"{job.name} at {site.name}, {counted(len(visits), 'visit')}"),)


def _firm(register: Register, who: str, args: argparse.Namespace, _say: Callable[[str], None]) -> Made:
    firm = keep_firm(register, who, name=_name(args), **_given(args, "address", "phone", "email"))
    return ((firm, firm.name),)


def _figure(register: Register, who: str, args: argparse.Namespace, _say: Callable[[str], None]) -> Made:
    today = local_today()
    record = note_looked_up(
        register,
        who,
        rule_book=args.rule_book or "gb",
        key=_name(args),
        document=_needed(args, "document"),
        edition=args.edition or "",
        on=args.on or today,
        today=today,
    )
    return ((record, f"{record.key} of {record.rule_book}, {record.value}, looked up in {record.document}"),)


_MAKERS: Final[Mapping[str, Callable[[Register, str, argparse.Namespace, Callable[[str], None]], Made]]] = {
    "client": _client,
    "site": _site,
    "location": _location,
    "person": _person,
    "instrument": _instrument,
    "category": _category,
    "crew": _crew,
    "way": _way,
    "item": _items,
    "visit": _visit,
    "job": _job,
    "firm": _firm,
    "figure": _figure,
}
"""By kind: what makes it."""
