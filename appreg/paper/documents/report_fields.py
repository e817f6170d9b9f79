"""The fields a landlord's statutory duty asks of a report, and which of them are absent."""

from collections.abc import Callable, Mapping
from types import MappingProxyType

from appreg.core.records.kept_records import Person
from appreg.core.rules.interval_tables import RecordField
from appreg.errors import Incomplete
from appreg.paper.documents.item_lines import InspectedItem
from appreg.paper.documents.report_content import ReportDocument

Missing = Callable[[ReportDocument], list[str]]


def _unless(present: str, words: str) -> list[str]:
    return [] if present.strip() else [words]


def _landlord_or_agent(document: ReportDocument) -> list[str]:
    client = document.client
    if client.agent_name.strip() and client.agent_address.strip():
        return []
    return _unless(client.name, "the landlord's or agent's name") + _unless(
        client.address, "the landlord's or agent's address"
    )


def _each(document: ReportDocument, field: RecordField, text: Callable[[InspectedItem], str]) -> list[str]:
    if not document.items:
        return [f"the {field.label} (no item was inspected on this {document.work})"]
    bare = [item.appliance.tag for item in document.items if not text(item).strip()]
    return [f"the {field.label} (absent for {', '.join(bare)})"] if bare else []


def _of_each(document: ReportDocument, what: str, text: Callable[[Person], str]) -> list[str]:
    bare = [person.name for person in document.people if not text(person).strip()]
    whose = f" (absent for {', '.join(bare)})" if len(document.people) > 1 else ""
    return [f"the {what} of the inspector{whose}"] if bare else []


def _defects(document: ReportDocument) -> list[str]:
    if any(item.failed for item in document.items):
        return []
    return _unless(document.defects, "a statement of the defects found, if only that there are none")


def _remedial_action(document: ReportDocument) -> list[str]:
    failed = [item for item in document.items if item.failed]
    if failed and all(item.remedial_action.strip() for item in failed):
        return []
    return _unless(document.remedial_action, "a statement of the remedial action taken, if only that there is none")


_FIELDS: Mapping[RecordField, Missing] = MappingProxyType(
    {
        RecordField.DATE: lambda _: [],
        RecordField.ADDRESS: lambda d: _unless(d.site.address, "the address of the premises inspected"),
        RecordField.LANDLORD_OR_AGENT: _landlord_or_agent,
        RecordField.INSPECTOR_NAME: lambda d: _of_each(d, "name", lambda person: person.name),
        RecordField.INSPECTOR_ADDRESS: lambda d: _of_each(d, "address", lambda person: person.address),
        RecordField.INSPECTOR_QUALIFICATIONS: lambda d: _of_each(
            d, "qualifications", lambda person: person.qualifications
        ),
        RecordField.APPLIANCE_DESCRIPTION: lambda d: _each(
            d, RecordField.APPLIANCE_DESCRIPTION, lambda item: item.appliance.name
        ),
        RecordField.APPLIANCE_LOCATION: lambda d: _each(d, RecordField.APPLIANCE_LOCATION, lambda item: item.location),
        RecordField.DEFECTS: _defects,
        RecordField.REMEDIAL_ACTION: _remedial_action,
    }
)


def missing_fields(document: ReportDocument) -> tuple[str, ...]:
    """Name, in words, each field that the document's duty asks for and that is absent."""
    return tuple(words for field in document.required for words in _FIELDS[RecordField(field)](document))


def refuse_if_missing(document: ReportDocument) -> None:
    """Raise Incomplete naming every absent field."""
    missing = missing_fields(document)
    if missing:
        duty = document.profile_title or "the duty chosen for this site"
        raise Incomplete(
            f"The report cannot be written yet: {duty} asks for {'; '.join(missing)}; add it and print again."
        )
