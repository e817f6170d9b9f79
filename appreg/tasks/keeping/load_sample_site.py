"""Load a sample site: every record and every verdict through the tasks a person would use."""

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Final, cast

from msgspec import Struct
from msgspec.structs import replace

import appreg
from appreg.core.records.kept_records import (
    Appliance,
    Category,
    Inspection,
    Instrument,
    Location,
    Person,
    QueuedLabel,
    Site,
    Visit,
)
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.exchange.sample_folder import SITE_FILE
from appreg.exchange.sample_records import SampleInspection, SampleItem, SampleRepair, SampleSite, SampleVisit
from appreg.register.opening.register_file import Register
from appreg.tasks.inspecting.record_inspection import record_inspection
from appreg.tasks.inspecting.record_repair import open_actions, record_repair
from appreg.tasks.inspecting.start_visit import start_visit
from appreg.tasks.records.add_appliance import add_appliance
from appreg.tasks.records.add_client import add_client
from appreg.tasks.records.add_instrument import add_instrument
from appreg.tasks.records.add_location import add_location
from appreg.tasks.records.add_person import add_person
from appreg.tasks.records.add_site import add_site
from appreg.tasks.records.change_record import change_record
from appreg.tasks.records.item_fields import ItemFields
from appreg.tasks.records.set_service_state import set_service_state


def sample_folders() -> tuple[Path, ...]:
    """The folders of the sample sites, by name; raises InputRefused where none are installed."""
    package = Path(appreg.__file__).parent
    for place in (package / "_sample_sites", package.parent / "sample_sites"):
        folders = tuple(sorted(each.parent for each in place.glob(f"*/{SITE_FILE}")))
        if folders:
            return folders
    raise InputRefused(f"The sample sites are missing beside {package}; install appreg again.")


WAITING: Final = "waiting"


class _Keys(Struct, kw_only=True):
    """The keys that names of the sample stand for."""

    site: Uid
    people: dict[str, Person]
    instruments: dict[str, Instrument]
    items: dict[str, Uid]


def load_sample_site(register: Register, who: str, sample: SampleSite) -> Site:
    """Add the site with all its visits; raises InputRefused naming the line that cannot be kept.

    Labels count as printed on their day but for visits that say they wait.
    """
    with register.change(who, f"sample site {sample.folder}"):
        site, keys = _add_places(register, who, sample)
        for item in sample.items:
            keys.items[item.tag] = _add_item(register, who, sample, item, keys).uid
        _link_cord_sets(register, who, sample, keys)
    waiting = list(sample.repairs)
    for visit in sorted(sample.visits, key=lambda each: each.on):
        person = keys.people[visit.person]
        with register.change(person.name, f"visit of {visit.on.isoformat()}"):
            _keep_visit(register, sample, visit, keys, waiting)
            if visit.labels != WAITING:
                _count_as_printed(register, person.name, visit.on, keys)
    with register.change(who, f"sample site {sample.folder}"):
        _repair(register, who, keys, waiting, lambda _: True)
        for item in sample.items:
            if item.state is not None:
                set_service_state(register, who, appliance=keys.items[item.tag], state=item.state)
    return site


def _add_places(register: Register, who: str, sample: SampleSite) -> tuple[Site, _Keys]:
    given, place = sample.client, sample.place
    client = add_client(
        register,
        who,
        name=given.name,
        address=given.address,
        agent_name=given.agent_name,
        agent_address=given.agent_address,
    )
    site = add_site(
        register,
        who,
        client=client.uid,
        name=place.name,
        prefix=place.prefix,
        environment=place.environment,
        address=place.address,
        rule_book=place.rule_book or "gb",
        interval_table=place.interval_table,
        landlord_profile=place.landlord_profile,
    )
    for each in sample.locations:
        add_location(register, who, site=site.uid, name=each.name, environment=each.environment)
    keys = _Keys(site=site.uid, people=_people(register, who, sample), instruments={}, items={})
    for tool in sample.instruments:
        known = register.find(Instrument, serial=tool.serial)
        keys.instruments[tool.serial] = (
            known[0]
            if known
            else add_instrument(
                register,
                who,
                name=tool.name,
                serial=tool.serial,
                calibration_due=tool.calibration_due,
                accuracy=tool.accuracy,
            )
        )
    return site, keys


def _people(register: Register, who: str, sample: SampleSite) -> dict[str, Person]:
    """One record a person, though several sites name them."""
    people = {}
    for each in sample.people:
        known = register.find(Person, name=each.name, initials=each.initials)
        people[each.initials] = (
            known[0]
            if known
            else add_person(
                register,
                who,
                name=each.name,
                initials=each.initials,
                address=each.address,
                qualifications=each.qualifications,
                firm=each.firm,
            )
        )
    return people


def _add_item(register: Register, who: str, sample: SampleSite, item: SampleItem, keys: _Keys) -> Appliance:
    try:
        return add_appliance(
            register,
            who,
            site=keys.site,
            location=_location(register, keys.site, item.location),
            name=item.name,
            category=_category(register, item),
            tag=item.tag,
            **_fields(item),
        )
    except InputRefused as problem:
        raise InputRefused(f"{sample.folder}/items.csv, line {item.line}: {problem}") from problem


_LEFT_TO_THE_CATEGORY: Final = (
    "appliance_class",
    "equipment_type",
    "cord_csa_mm2",
    "cord_length_m",
    "fuse_a",
    "power_w",
    "rated_volts",
    "rcd",
    "rcd_rating_ma",
    "rcd_mounting",
)
"""Fields of an item that a file may leave out."""


def _fields(item: SampleItem) -> ItemFields:
    """Only what the file gives: the rest is the category's."""
    given = {name: value for name in _LEFT_TO_THE_CATEGORY if (value := getattr(item, name)) is not None}
    fields: ItemFields = {"make": item.make, "model": item.model, "serial": item.serial, "notes": item.notes}
    fields["longer_interval_reason"] = item.longer_interval_reason
    fields["moulded_plug"] = item.moulded_plug
    # Whoever kept these sites has read every plate and measured every cord.
    fields["assumed"] = ()
    fields.update(cast("ItemFields", given))
    return fields


def _location(register: Register, site: Uid, name: str) -> Uid:
    return register.find(Location, site=site, name=name)[0].uid


def _category(register: Register, item: SampleItem) -> Uid | None:
    if not item.category:
        return None
    found = register.find(Category, code=item.category)
    if not found:
        raise InputRefused(f"there is no category {item.category}; use a code the register has.")
    return found[0].uid


def _link_cord_sets(register: Register, who: str, sample: SampleSite, keys: _Keys) -> None:
    for item in sample.items:
        if item.feeds:
            cord_set = register.get(Appliance, keys.items[item.tag])
            change_record(register, who, replace(cord_set, feeds=keys.items[item.feeds]))


def _keep_visit(
    register: Register, sample: SampleSite, visit: SampleVisit, keys: _Keys, waiting: list[SampleRepair]
) -> None:
    person = keys.people[visit.person]
    tool = keys.instruments[visit.instrument].uid if visit.instrument else None
    started = start_visit(
        register,
        person.name,
        site=keys.site,
        on=visit.on,
        person=person.uid,
        instrument=tool,
        fixed_wiring_reference=visit.fixed_wiring_reference,
    )
    for each in sample.inspections:
        if each.on == visit.on:
            _keep_inspection(register, person.name, sample, each, visit=started, keys=keys, waiting=waiting)


def _keep_inspection(
    register: Register,
    who: str,
    sample: SampleSite,
    given: SampleInspection,
    *,
    visit: Visit,
    keys: _Keys,
    waiting: list[SampleRepair],
) -> None:
    _repair(register, who, keys, waiting, lambda each: each.tag == given.tag and each.on <= given.on)
    try:
        record_inspection(
            register,
            who,
            appliance=keys.items[given.tag],
            visit=visit.uid,
            kind=given.kind,
            entries=given.entries,
            remarks=given.remarks,
        )
    except InputRefused as problem:
        raise InputRefused(f"{sample.folder}/inspections.csv, line {given.line}: {problem}") from problem


def _repair(
    register: Register, who: str, keys: _Keys, waiting: list[SampleRepair], due: Callable[[SampleRepair], bool]
) -> None:
    """Record the repairs that are due, of items with a failure to put right."""
    for each in [repair for repair in waiting if due(repair)]:
        for action in open_actions(register, keys.items[each.tag]):
            record_repair(register, who, action=action.uid, repair=each.repair, on=each.on, told=each.told)
            if each in waiting:
                waiting.remove(each)


def _count_as_printed(register: Register, who: str, on: date, keys: _Keys) -> None:
    """The labels of the site's own items: those of others wait where they are."""
    own = frozenset(keys.items.values())
    with register.change(who) as change:
        for label in register.find(QueuedLabel, printed_on=None):
            if label.appliance in own and register.get(Inspection, label.inspection).date == on:
                change.put(replace(label, printed_on=on))
