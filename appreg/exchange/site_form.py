"""The folder of a site, kept by keys: which records stand in which of its files, and what their fields are called there."""

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Final, get_args

from msgspec import Struct

from appreg.core.records.issued_documents import IssuedDocument
from appreg.core.records.job_records import FigureLookedUp, Firm, Job
from appreg.core.records.kept_records import (
    Appliance,
    Category,
    Client,
    FindingRecord,
    Inspection,
    Instrument,
    Location,
    Person,
    QueuedLabel,
    Record,
    Site,
    Visit,
)
from appreg.core.records.planning_records import BookedVisit, CalendarEntry, Crew, DistrictTravel, KeptPlan, KeptVisit
from appreg.core.records.print_jobs import PrintJob
from appreg.core.records.work_records import (
    BenchDraft,
    InspectionWithdrawal,
    IntervalOverride,
    NotInspected,
    OverrideScope,
    RemedialAction,
)
from appreg.core.values.uids import is_uid
from appreg.exchange.record_cells import RecordField, fields_of

FOLDER: Final = "folder"
"""The table of site.toml that says which form the folder has, and which files belong to it."""
FORM: Final = "appreg.site-folder"
VERSION: Final = 1
KEY: Final = "key"
RECORDED: Final = "recorded"
"""The column that numbers what was recorded, in the order in which it was."""
NOT_A_SITES: Final = frozenset({Firm, FigureLookedUp, DistrictTravel})
"""Kinds that belong to a register and to no site."""
LEFT_OUT: Final[Mapping[type[Record], str]] = {IssuedDocument: "issued", PrintJob: "printed", KeptVisit: "plans"}
"""Kinds of a site that no folder holds, with the word by which a person leaves them out: they tell of one register alone."""

TABLES: Final[Mapping[type[Record], str]] = {
    Client: "client",
    Site: "site",
    Location: "location",
    Category: "category",
    Person: "person",
    Instrument: "instrument",
    Crew: "crew",
    Job: "job",
    Visit: "visit",
}
"""The tables of site.toml."""
_FILES: Final[Mapping[type[Record], str]] = {
    Appliance: "items",
    Inspection: "inspections",
    FindingRecord: "findings",
    InspectionWithdrawal: "taken_back",
    RemedialAction: "repairs",
    QueuedLabel: "labels",
    IntervalOverride: "intervals",
    NotInspected: "not_inspected",
    BenchDraft: "half_filled",
    BookedVisit: "booked_visits",
    CalendarEntry: "calendar_entries",
}
_CALLED: Final[Mapping[type[Record], Mapping[str, str]]] = {
    Appliance: {
        "appliance_class": "class",
        "equipment_type": "type",
        "cord_csa_mm2": "cord_mm2",
        "cord_length_m": "cord_m",
        "moulded_plug": "moulded",
        "rated_volts": "rated_v",
        "rcd_rating_ma": "rcd_ma",
        "longer_interval_reason": "longer_because",
    },
    Visit: {"date": "on"},
    RemedialAction: {"repaired_on": "date"},
}
"""Where a file has another name for a field than the record."""
_UNDERSTOOD: Final = frozenset({"site", "client"})
"""References that a folder has no need to name: it has one of each."""
REFERS: Final[Mapping[str, type[Record]]] = {
    "location": Location,
    "category": Category,
    "person": Person,
    "instrument": Instrument,
    "crew": Crew,
    "job": Job,
    "visit": Visit,
    "appliance": Appliance,
    "feeds": Appliance,
    "inspection": Inspection,
    "last_inspection": Inspection,
    "supersedes": Inspection,
    "closed_by": Inspection,
}
"""By field: the kind of record whose key stands in it."""
SCOPES: Final[Mapping[OverrideScope, type[Record]]] = {
    OverrideScope.APPLIANCE: Appliance,
    OverrideScope.CATEGORY: Category,
    OverrideScope.LOCATION: Location,
}
"""What an interval set by hand is set for, whose key stands in its `target`."""
_NAMED_BY: Final[Mapping[type[Record], str]] = {
    Location: "name",
    Category: "code",
    Person: "initials",
    Instrument: "serial",
    Crew: "name",
    Job: "name",
    Appliance: "tag",
}


class FolderColumn(Struct, frozen=True, kw_only=True):
    """A column, or a key of site.toml, with the field that stands in it."""

    name: str
    field: RecordField


def columns_of(kind: type[Any]) -> tuple[FolderColumn, ...]:
    """What a folder tells of a kind, its key first."""
    called = {"uid": KEY, "appliance": "tag", **_CALLED.get(kind, {})}
    return tuple(
        FolderColumn(name=called.get(each.name, each.name), field=each)
        for each in fields_of(kind)
        if each.name not in _UNDERSTOOD
    )


def files() -> dict[type[Any], str]:
    """The file of each kind that is told in lines; a kind that came later bears its own name."""
    others = {*TABLES, *NOT_A_SITES, *LEFT_OUT, KeptPlan}
    kinds = sorted(({*get_args(Record)} - others), key=lambda kind: [*_FILES, kind].index(kind))
    return {kind: f"{_FILES.get(kind, _words(kind.__name__))}.csv" for kind in kinds}


def _words(name: str) -> str:
    return re.sub(r"(?<!^)(?=[A-Z])", "_", name).lower() + "s"


def referred(field: str, record_scope: object) -> type[Record] | None:
    """The kind of record whose key stands in a field; of a `target` by the scope that stands beside it."""
    if field == "target" and isinstance(record_scope, OverrideScope):
        return SCOPES[record_scope]
    return REFERS.get(field)


def names_of(kind: type[Any], records: Iterable[Any]) -> dict[str, str]:
    """By key the name that tells a record from the others of its kind, where it has one."""
    field = _NAMED_BY.get(kind)
    if field is None:
        return {}
    by_name: dict[str, list[str]] = {}
    for each in records:
        by_name.setdefault(getattr(each, field), []).append(each.uid)
    return {keys[0]: name for name, keys in by_name.items() if len(keys) == 1 and name and not is_uid(name)}


def told_parts() -> Iterator[tuple[type[Any], str]]:
    """Every kind that a folder tells, with its table or file."""
    yield from TABLES.items()
    yield from files().items()
