"""What was recorded since a scope of work was drawn up."""

from collections.abc import Collection, Iterator
from datetime import date
from typing import Final, NamedTuple

from appreg.core.records.kept_records import Inspection
from appreg.core.values.uids import Uid
from appreg.register.journal.journal_ends import last_time
from appreg.register.lists.counting_inspections import INSPECTION_PLACE, STANDING
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_kinds import kind_of

_INSPECTION: Final = kind_of(Inspection)
_COLUMNS: Final = ", ".join(f'i."{name}"' for name in _INSPECTION.codec.names)
_MARKS: Final = 500
"""Items asked for in one query: a file takes only so many marks."""


class LaterInspection(NamedTuple):
    """An inspection that counts, with the site where it was made."""

    inspection: Inspection
    site: Uid


def last_line(register: Register) -> str:
    """The time of the journal's last line; empty where there is none."""
    return last_time(register.rows) or ""


def inspections_since(
    register: Register, *, after: str, on: date, sites: Collection[Uid], items: Collection[Uid]
) -> list[LaterInspection]:
    """The inspections that count of some items, and of any made at some sites, in the journal's order.

    Recorded after that line of the journal and not for a day before `on`; failures whatever day they are for.
    """
    found: dict[str, tuple[str, LaterInspection]] = {}
    # By items and by visits apart: each has an index, one query for either would read every inspection.
    for test, parameters in _places(register, sites, items):
        rows = register.rows(
            f"SELECT {_COLUMNS}, v.site, {INSPECTION_PLACE} FROM {test} "
            f"AND (i.\"date\" >= ? OR i.outcome = 'fail') AND {INSPECTION_PLACE} > ? AND {STANDING}",
            (*parameters, on.isoformat(), after),
        )
        for *cells, site, place in rows:
            inspection = _INSPECTION.codec.decode(cells)
            found[inspection.uid] = (place, LaterInspection(inspection, Uid(site)))
    return [later for _, (_, later) in sorted(found.items(), key=lambda each: (each[1][0], each[0]))]


def _places(
    register: Register, sites: Collection[Uid], items: Collection[Uid]
) -> Iterator[tuple[str, tuple[object, ...]]]:
    """Tables with a condition: the inspections of the items, and those of visits to the sites."""
    wanted = sorted(items)
    for start in range(0, len(wanted), _MARKS):
        of_items, named = register.dialect.among("i.appliance", wanted[start : start + _MARKS])
        yield f"inspection i JOIN visit v ON v.uid = i.visit WHERE {of_items}", tuple(named)
    at_sites, named = register.dialect.among("v.site", sorted(sites))
    yield f"visit v JOIN inspection i ON i.visit = v.uid WHERE {at_sites}", tuple(named)
