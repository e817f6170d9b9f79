"""Make a site in a register from a folder that was kept by keys: the same records, judged by nobody anew but doubted."""

from collections.abc import Mapping, Sequence
from collections.abc import Set as AbstractSet
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from msgspec import Struct
from msgspec.structs import replace

from appreg.core.records.kept_records import (
    Appliance,
    Category,
    Client,
    FindingRecord,
    Inspection,
    Instrument,
    Person,
    QueuedLabel,
    Site,
)
from appreg.core.records.planning_records import Crew
from appreg.errors import InputRefused
from appreg.exchange.file_problems import refuse_problems
from appreg.exchange.site_form import TABLES, columns_of, files, referred
from appreg.exchange.site_reading import SiteFolder, read_site_folder
from appreg.progress import Progress, tell
from appreg.register.lists.appliance_lists import tags_taken
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.find_rules import RuleFinder
from appreg.tasks.keeping.doubt_told_inspections import untrue_inspections
from appreg.tasks.standing.check_standings import contradictions
from appreg.tasks.standing.settle_standing import read_standing, settled

if TYPE_CHECKING:
    from appreg.register.journal.changes import Change

_SHARED: Final[tuple[type[Any], ...]] = (Client, Category, Person, Instrument, Crew)
"""Kinds of which a register may have the same record already, under a key of its own."""
_LINKS: Final = frozenset({"client", "site"})
_EVERY: Final = 200
_STOPPED: Final = "Stopped; nothing of the site was imported."


class ImportedSite(Struct, frozen=True, kw_only=True):
    """What came in."""

    site: Site
    items: int
    inspections: int


def import_site(register: Register, who: str, folder: Path, *, progress: Progress | None = None) -> ImportedSite:
    """Put in the site with everything that its folder tells, in one change; raises InputRefused naming what cannot be.

    What is told of an item's result and dates is worked out anew from its inspections, which must bear out what they
    are told to have come to.
    """
    told, problems = read_site_folder(folder)
    refuse_problems(problems)
    if told is None:
        raise InputRefused(f"{folder} holds no site; name a folder that `appreg export` wrote.")
    for inspection, what in untrue_inspections(told.records[Inspection], told.records[FindingRecord]):
        raise InputRefused(
            f"{told.folder}: the inspection {inspection.uid} of {inspection.date} is not kept, as {what}."
        )
    with register.change(who, f"import of {told.folder}") as change:
        (site,) = told.records[Site]
        _refuse_what_is_there(register, told)
        records, put = _with_own_keys(register, told)
        for done, record in enumerate(records):
            if done % _EVERY == 0:
                tell(progress, done, len(records), _STOPPED)
            change.put(_without_later(record, put))
            put.add(record.uid)
        for record in records:
            # What referred to something recorded after it is completed now.
            change.put(record)
        _settle(register, change, [each for each in records if isinstance(each, Appliance)], told.folder)
    return ImportedSite(site=site, items=len(told.records[Appliance]), inspections=len(told.records[Inspection]))


def _refuse_what_is_there(register: Register, told: SiteFolder) -> None:
    (site,) = told.records[Site]
    if register.has(Site, uid=site.uid):
        raise InputRefused(f"{site.name} is in the register already; a folder makes a site anew, and changes none.")
    same = next((each for each in register.find(Site) if each.prefix.casefold() == site.prefix.casefold()), None)
    if same is not None:
        raise InputRefused(f"{told.folder}: {same.name} here has the prefix {site.prefix} too; change one of the two.")
    taken = sorted(tags_taken(register, [each.tag for each in told.records[Appliance]]))
    if taken:
        raise InputRefused(
            f"{told.folder}: {len(taken)} tags are in the register already, {taken[0]} first; change those."
        )


def _with_own_keys(register: Register, told: SiteFolder) -> tuple[list[Any], set[str]]:
    """The records in the order in which they are put, and the keys of those that are here already."""
    here: dict[str, str] = {}
    for kind in _SHARED:
        known = register.find(kind)
        for record in told.records[kind]:
            same = _same(record, known, told.folder)
            if same is not None:
                here[record.uid] = same.uid
    first = [record for kind in TABLES for record in told.records[kind]]
    later = [record for kind in files() for record in told.records[kind] if kind is not Appliance]
    later.sort(key=lambda record: told.recorded[record.uid])
    items = sorted(told.records[Appliance], key=lambda item: told.recorded[item.uid])
    ordered = [*first, *items, *later]
    return [_referring(record, here) for record in ordered if record.uid not in here], set(here.values())


def _same(record: Any, known: Sequence[Any], folder: str) -> Any:
    """The record here that is the one told, under whichever key; None where there is none."""
    for each in known:
        if replace(each, uid=record.uid) == record:
            return each
    for each in known:
        code = isinstance(record, Category) and each.code.casefold() == record.code.casefold()
        if code or each.uid == record.uid:
            apart = [name for name in record.__struct_fields__[1:] if getattr(each, name) != getattr(record, name)]
            named = record.code if isinstance(record, Category) else record.name
            raise InputRefused(
                f"{folder}: {named} is in the register already, with another {', '.join(apart).replace('_', ' ')}; "
                "make the two alike first."
            )
    return None


def _referring(record: Any, here: Mapping[str, str]) -> Any:
    """The record with the keys of what is here already in place of those in the folder."""
    named = {
        name: here[key]
        for name in record.__struct_fields__
        if (name in _LINKS or referred(name, getattr(record, "scope", None)) is not None)
        and (key := getattr(record, name)) in here
    }
    return replace(record, **named) if named else record


def _without_later(record: Any, put: AbstractSet[str]) -> Any:
    """The record without what it may do without and what is not in yet."""
    later = {
        column.field.name: None
        for column in columns_of(type(record))
        if column.field.optional
        and referred(column.field.name, getattr(record, "scope", None)) is not None
        and getattr(record, column.field.name) not in put
    }
    return replace(record, **later) if later else record


def _settle(register: Register, change: "Change", items: Sequence[Appliance], folder: str) -> None:
    """Work out each item's result and dates anew; refuse one that shows what its inspections do not bear out."""
    rules = RuleFinder(register)
    for item in items:
        standing = read_standing(register, item.uid)
        waiting = register.find(QueuedLabel, appliance=item.uid, printed_on=None)
        for _, what in contradictions(item, standing, waiting):
            raise InputRefused(f"{folder}/items.csv: {item.tag}: {what}; correct it.")
        if item.last_inspection:
            change.put(settled(item, standing, rules.of(item)))
