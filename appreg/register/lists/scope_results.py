"""What was recorded since a scope of work was drawn up."""

from collections.abc import Collection
from datetime import date
from typing import Final, NamedTuple

from appreg.core.records.kept_records import Inspection
from appreg.core.values.uids import Uid
from appreg.register.journal.journal_ends import last_time
from appreg.register.lists.inspection_lists import INSPECTION_PLACE, STANDING
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_kinds import kind_of

_INSPECTION: Final = kind_of(Inspection)
_COLUMNS: Final = ", ".join(f'i."{name}"' for name in _INSPECTION.codec.names)


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
    rows = register.rows(
        f"SELECT {_COLUMNS}, v.site, {INSPECTION_PLACE} AS place FROM inspection i JOIN visit v ON v.uid = i.visit "
        f"WHERE (i.\"date\" >= ? OR i.outcome = 'fail') AND {INSPECTION_PLACE} > ? AND {STANDING} ORDER BY place, i.uid",
        (on.isoformat(), after),
    )
    found = [LaterInspection(_INSPECTION.codec.decode(cells), Uid(site)) for *cells, site, _ in rows]
    return [each for each in found if each.site in sites or each.inspection.appliance in items]
