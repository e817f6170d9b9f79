"""Write a site as a folder of readable files, from which an equal site can be made in another register."""

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from msgspec import Struct

from appreg.core.records.kept_records import Appliance, FindingRecord, Inspection, Record, Site
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.exchange.site_form import LEFT_OUT, columns_of, files, referred, told_parts
from appreg.exchange.site_writing import write_site_folder
from appreg.progress import Progress, tell
from appreg.register.copies.site_slice import PlacedRecords, count_of_site, site_slice
from appreg.register.opening.register_file import Register
from appreg.tasks.keeping.doubt_told_inspections import untrue_inspections

LEFT_OUT_WORDS: Final[Mapping[str, str]] = {
    "issued": "documents that were issued, which tell lines of this register's own journal",
    "printed": "what printers took",
    "plans": "days in kept plans, which are of several sites",
}
"""What no folder holds, by the word that leaves it out."""
_STOPPED: Final = "Stopped; the folder has no site.toml and is no site: take it away."


class ExportedSite(Struct, frozen=True, kw_only=True):
    """What was written."""

    folder: Path
    site: Site
    items: int
    lines: int
    """Of all its tables."""


def export_site(
    register: Register, site: Uid, folder: Path, *, leave_out: Collection[str] = (), progress: Progress | None = None
) -> ExportedSite:
    """Write it into a folder that is new or empty; what no folder can hold is refused by name unless it is left out.

    Raises InputRefused, RegisterUnusable where a record cannot be read, Stopped.
    """
    own = register.get(Site, site)
    _refuse_what_no_folder_holds(register, own, leave_out)
    placed = site_slice(register, site, [kind for kind, _ in told_parts()])
    records = {kind: each.records for kind, each in placed.items()}
    for problem in (*_outside(records), *_untrue(records)):
        raise InputRefused(f"{own.name} was not exported: {problem}.")
    whole = sum(len(records[kind]) for kind in files())
    lines = write_site_folder(
        folder, records, _recorded(placed), told=lambda done: tell(progress, done, whole, _STOPPED)
    )
    return ExportedSite(folder=folder, site=own, items=len(records[Appliance]), lines=lines)


def export_sites(
    register: Register, folder: Path, *, leave_out: Collection[str] = (), progress: Progress | None = None
) -> tuple[ExportedSite, ...]:
    """Write every site into a folder of its own, named by the prefix of its tags, within a new or empty one."""
    sites = register.find(Site)
    for each in sites:
        _refuse_what_no_folder_holds(register, each, leave_out)
    try:
        folder.mkdir(exist_ok=True)
        if any(folder.iterdir()):
            raise InputRefused(f"The folder {folder} is not empty, and nothing is mixed into it; name a new one.")
    except OSError as problem:
        raise InputRefused(f"The folder {folder} cannot be made ({problem.strerror}); choose another.") from problem
    made = []
    for number, each in enumerate(sites):
        tell(progress, number, len(sites), f"Stopped after {number} of {len(sites)} sites, which are whole.")
        made.append(export_site(register, each.uid, folder / _folder_name(each), leave_out=leave_out))
    return tuple(made)


def _folder_name(site: Site) -> str:
    """The prefix where it is plain letters; otherwise the key."""
    return site.prefix.lower() if re.fullmatch(r"[A-Za-z0-9]{1,20}", site.prefix) else site.uid


def _refuse_what_no_folder_holds(register: Register, site: Site, leave_out: Collection[str]) -> None:
    for word in leave_out:
        if word not in LEFT_OUT_WORDS:
            raise InputRefused(f"“{word}” is nothing that is left out; name {', '.join(LEFT_OUT_WORDS)}.")
    for kind, word in LEFT_OUT.items():
        count = 0 if word in leave_out else count_of_site(register, site.uid, kind)
        if count:
            raise InputRefused(
                f"{site.name} has {count} of {LEFT_OUT_WORDS[word]}: no folder holds them; leave them out with "
                f"--leave-out {word}, or export the whole register as JSON Lines."
            )


def _recorded(placed: Mapping[type[Record], PlacedRecords]) -> dict[str, int]:
    """By key the place of each item among the items, and of each record among all else that is told in lines."""
    later = [kind for kind in files() if kind is not Appliance]
    return _numbered(placed, [Appliance]) | _numbered(placed, later)


def _numbered(placed: Mapping[type[Record], PlacedRecords], kinds: Sequence[type[Record]]) -> dict[str, int]:
    """Numbers in the order of the journal; what has no line there comes last."""
    told = [
        (not place, place, each.uid)
        for kind in kinds
        for each, place in zip(placed[kind].records, placed[kind].places, strict=True)
    ]
    return {uid: number for number, (_, _, uid) in enumerate(sorted(told), 1)}


def _outside(records: Mapping[type[Any], Sequence[Any]]) -> Iterator[str]:
    """What refers to a record of another site."""
    known = {kind: {each.uid for each in told} for kind, told in records.items()}
    for kind, told in records.items():
        fields = [each.field.name for each in columns_of(kind)]
        for record in told:
            for name in fields:
                to = referred(name, getattr(record, "scope", None))
                key = getattr(record, name) if to is not None else None
                if to is not None and key is not None and key not in known[to]:
                    yield f"{_called(record, records)} has a {name.replace('_', ' ')} that is not of this site"


def _untrue(records: Mapping[type[Any], Sequence[Any]]) -> Iterator[str]:
    tags = {each.uid: each.tag for each in records[Appliance]}
    for inspection, what in untrue_inspections(records[Inspection], records[FindingRecord]):
        yield f"the inspection of {tags.get(inspection.appliance, inspection.appliance)} of {inspection.date}: {what}"


def _called(record: Any, records: Mapping[type[Any], Sequence[Any]]) -> str:
    uid = getattr(record, "appliance", record.uid)
    tag = next((each.tag for each in records[Appliance] if each.uid == uid), "")
    return str(tag or getattr(record, "name", "") or record.uid)
