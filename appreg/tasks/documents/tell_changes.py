"""Tell what differs between two issues of a document, in sentences."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import Final

from msgspec import Struct

from appreg.core.records.appliances import ApplianceClass, EquipmentType
from appreg.core.records.kept_records import FindingRecord, Inspection, Instrument
from appreg.core.values.dates_in_words import DateForm, date_words
from appreg.paper.documents.item_lines import InspectedItem, LastTime
from appreg.paper.documents.item_words import NEXT_WORDS, check_words, reading_words
from appreg.paper.documents.register_content import RegisterDocument
from appreg.paper.documents.report_content import ReportDocument, ReportedVisit, printed_notes
from appreg.schedule.due_states import is_item_overdue

Told = ReportDocument | RegisterDocument
NOTHING_CHANGED: Final = "Nothing of what this document tells."
_OF_ITEM: Final = (
    "tag",
    "name",
    "make",
    "model",
    "serial",
    "appliance_class",
    "equipment_type",
    "unearthed_metal",
    "functional_earth",
    "cord_csa_mm2",
    "cord_length_m",
    "fuse_a",
    "power_w",
    "owner",
    "owner_name",
    "state",
    "next_visual",
    "next_test",
)
"""Fields of an item that documents show."""
_OF_SITE: Final = ("name", "address", "rule_book", "interval_table", "environment", "landlord_profile")
_OF_CLIENT: Final = ("name", "address", "agent_name", "agent_address")
_OF_VISIT: Final = ("date", "fixed_wiring_reference", "instrument_check", "additional_protection")
_OF_JOB: Final = (
    "name",
    "extent",
    "limitations",
    "wiring_report",
    "wiring_on",
    "wiring_next",
    "wiring_rcd",
    "signatory",
)
_OF_FIRM: Final = ("name", "address", "phone", "email")
_OF_PERSON: Final = ("name", "initials", "address", "qualifications", "firm")
_OF_INSTRUMENT: Final = ("name", "serial", "calibration_due")
_CALLED: Final = {
    "appliance_class": "class",
    "equipment_type": "type",
    "unearthed_metal": "metal not earthed",
    "wiring_report": "report on the fixed wiring",
    "wiring_on": "day of the report on the fixed wiring",
    "wiring_next": "next inspection of the fixed wiring",
    "wiring_rcd": "residual current devices of the fixed wiring",
    "signatory": "who signs for the duty holder",
    "cord_csa_mm2": "cord, mm²",
    "cord_length_m": "cord, m",
    "next_visual": NEXT_WORDS["visual"],
    "next_test": NEXT_WORDS["test"],
}


def changes_between(before: Told, now: Told) -> tuple[str, ...]:
    """What a later issue tells otherwise than the one before it: particulars first, then items by tag."""
    said = [*_particulars(before, now), *_items(before, now)]
    return tuple(said) or (NOTHING_CHANGED,)


def _particulars(before: Told, now: Told) -> Iterator[str]:
    yield from _fields("The site", _OF_SITE, before.site, now.site, now.dates)
    yield from _fields("The duty holder", _OF_CLIENT, before.client, now.client, now.dates)
    if isinstance(before, ReportDocument) and isinstance(now, ReportDocument):
        yield from _of_visits(before, now)
    elif isinstance(before, RegisterDocument) and isinstance(now, RegisterDocument):
        people = {each.uid: each for each in now.people}
        for was in before.people:
            yield from _fields(was.name, _OF_PERSON, was, people.get(was.uid, was), now.dates)
        instruments = {each.uid: each for each in now.instruments}
        for tool in before.instruments:
            yield from _fields(tool.name, _OF_INSTRUMENT, tool, instruments.get(tool.uid, tool), now.dates)


def _of_visits(before: ReportDocument, now: ReportDocument) -> Iterator[str]:
    if before.job is not None and now.job is not None:
        yield from _fields("The job", _OF_JOB, before.job, now.job, now.dates)
    if before.firm is not None and now.firm is not None:
        yield from _fields("The firm", _OF_FIRM, before.firm, now.firm, now.dates)
    elif before.firm is not now.firm:
        names = ({"name": each.name if each else ""} for each in (before.firm, now.firm))
        yield from _differing("The firm", next(names), next(names), now.dates)
    then = {each.visit.uid: each for each in before.visits}
    for each in now.visits:
        was = then.pop(each.visit.uid, None)
        if was is None:
            yield f"The visit of {date_words(each.visit.date, now.dates)}: added."
        else:
            yield from _of_visit(was, each, now)
    for gone in then.values():
        yield f"The visit of {date_words(gone.visit.date, now.dates)}: no longer of this job."
    yield from _others(before, now)
    yield from _earlier(before, now)
    were, are = ({each.tag: each.because for each in told.not_inspected} for told in (before, now))
    for tag in dict.fromkeys((*were, *are)):
        yield from _differing(tag, {"not inspected": were.get(tag, "")}, {"not inspected": are.get(tag, "")}, now.dates)


def _others(before: ReportDocument, now: ReportDocument) -> Iterator[str]:
    """Of the people and instruments that no visit names, and that both issues have."""
    people = {each.uid: each for each in now.other_people}
    for was in before.other_people:
        yield from _fields(was.name, _OF_PERSON, was, people.get(was.uid, was), now.dates)
    tools = {each.uid: each for each in now.other_instruments}
    for tool in before.other_instruments:
        yield from _fields(tool.name, _OF_INSTRUMENT, tool, tools.get(tool.uid, tool), now.dates)


def _of_visit(before: ReportedVisit, now: ReportedVisit, told: ReportDocument) -> Iterator[str]:
    dates = told.dates
    one = len(told.visits) == 1
    what = "The visit" if one else f"The visit of {date_words(now.visit.date, dates)}"
    yield from _fields(what, _OF_VISIT, before.visit, now.visit, dates)
    notes = {"notes": printed_notes(before.visit)}
    yield from _differing(what, notes, {"notes": printed_notes(now.visit)}, dates)
    yield from _fields("The inspector" if one else now.person.name, _OF_PERSON, before.person, now.person, dates)
    if before.instrument is not None and now.instrument is not None:
        yield from _fields("The instrument", _OF_INSTRUMENT, before.instrument, now.instrument, dates)
    elif before.instrument is not now.instrument:
        tools = {"instrument": _tool(before.instrument)}
        yield from _differing(what, tools, {"instrument": _tool(now.instrument)}, dates)


def _tool(instrument: Instrument | None) -> str:
    return f"{instrument.name}, {instrument.serial}" if instrument is not None else ""


def _fields(what: str, names: Sequence[str], before: Struct, now: Struct, dates: DateForm) -> Iterator[str]:
    was, becomes = ({name: getattr(each, name) for name in names} for each in (before, now))
    yield from _differing(what, was, becomes, dates)


def _differing(what: str, was: Mapping[str, object], now: Mapping[str, object], dates: DateForm) -> Iterator[str]:
    for name, value in was.items():
        if now[name] != value:
            called = _CALLED.get(name, name.replace("_", " "))
            yield f"{what}: {called} was {_said(value, dates)}, now {_said(now[name], dates)}."


def _items(before: Told, now: Told) -> Iterator[str]:
    then = {line.appliance.uid: line for line in before.items}
    days = _day(before), _day(now)
    for line in now.items:
        was = then.pop(line.appliance.uid, None)
        if was is None:
            yield f"{line.appliance.tag} {line.appliance.name}: added."
        else:
            yield from _item(was, line, days, now.dates)
    for line in then.values():
        yield f"{line.appliance.tag} {line.appliance.name}: no longer listed."


def _day(told: Told) -> date:
    """The day by which a document calls an item overdue."""
    return told.last_day if isinstance(told, ReportDocument) else told.printed


def _item(was: InspectedItem, now: InspectedItem, days: tuple[date, date], dates: DateForm) -> Iterator[str]:
    before, after = (
        {name: getattr(line.appliance, name) for name in _OF_ITEM}
        | {"overdue": is_item_overdue(line.appliance, day), "location": line.location, "interval": line.interval}
        for line, day in zip((was, now), days, strict=True)
    )
    what = now.appliance.tag
    yield from _differing(what, before, after, dates)
    yield from _results(what, was, now, dates)
    yield from _action(what, was, now)


def _results(what: str, was: InspectedItem, now: InspectedItem, dates: DateForm) -> Iterator[str]:
    """Of the shown inspection, and of the test and the look before it where they are others."""
    told = (
        ("result", (was.inspection, was.findings), (now.inspection, now.findings)),
        ("last test", (_of(was.last_test), was.tested), (_of(now.last_test), now.tested)),
        ("last look", (_of(was.last_look), ()), (_of(now.last_look), ())),
    )
    for called, (old, read), (new, reads) in told:
        if old != new and (called == "result" or new != now.inspection):
            yield f"{what}: {called} was {_result(old, read, dates)}, now {_result(new, reads, dates)}."


def _of(last: LastTime | None) -> Inspection | None:
    return last.inspection if last is not None else None


def _action(what: str, was: InspectedItem, now: InspectedItem) -> Iterator[str]:
    if was.remedial_action != now.remedial_action:
        yield f"{what}: remedial action was {was.remedial_action or 'none'}, now {now.remedial_action or 'none'}."


def _earlier(before: ReportDocument, now: ReportDocument) -> Iterator[str]:
    """Failures that a later record of the visit followed."""
    then = {line.inspection.uid: line for line in before.earlier if line.inspection is not None}
    for line in now.earlier:
        was = then.pop(line.inspection.uid, None) if line.inspection is not None else None
        if was is None:
            yield f"{line.appliance.tag}, {_result(line.inspection, line.findings, now.dates)}: added."
        else:
            yield from _action(f"{line.appliance.tag}, {_result(line.inspection, (), now.dates)}", was, line)
    for line in then.values():
        yield f"{line.appliance.tag}, {_result(line.inspection, line.findings, now.dates)}: no longer listed."


def _result(inspection: Inspection | None, findings: Sequence[FindingRecord], dates: DateForm) -> str:
    if inspection is None:
        return "none"
    readings = ", ".join(
        f"{check_words(each.check_name)} {reading_words(each)}" for each in findings if each.unit and each.reading
    )
    beside = f" ({readings})" if readings else ""
    return f"{inspection.outcome} of {date_words(inspection.date, dates)}{beside}"


def _said(value: object, dates: DateForm) -> str:
    if isinstance(value, date):
        return date_words(value, dates)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, ApplianceClass | EquipmentType):
        return value.label
    return str(value) if value not in {None, ""} else "not stated"
