"""Inspections and their findings, listed; and which of them still count."""

from typing import Final

from appreg.core.records import FindingRecord, Inspection
from appreg.core.uids import Uid
from appreg.register.record_kinds import kind_of
from appreg.register.register_file import Register
from appreg.register.tag_sorting import by_tag

_INSPECTION: Final = kind_of(Inspection)
_FINDING: Final = kind_of(FindingRecord)
_INSPECTION_COLUMNS: Final = ", ".join(f'i."{name}"' for name in _INSPECTION.codec.names)
STANDING: Final = (
    "NOT EXISTS (SELECT 1 FROM inspection_withdrawal w WHERE w.inspection = i.uid) "
    "AND NOT EXISTS (SELECT 1 FROM inspection s WHERE s.supersedes = i.uid "
    "AND NOT EXISTS (SELECT 1 FROM inspection_withdrawal v WHERE v.inspection = s.uid))"
)
"""Neither taken back, nor superseded by one that was not taken back."""


def inspections_of(register: Register, appliance: Uid, *, readable: bool = False) -> list[Inspection]:
    """All inspections of an appliance, newest first; those taken back or superseded among them.

    With `readable`, one that cannot be read is noted as damaged instead of ending it: for looking only, never to judge by.
    """
    rows = register.rows(
        f'SELECT {_INSPECTION_COLUMNS} FROM inspection i WHERE i.appliance = ? ORDER BY i."date" DESC, i.uid DESC',
        (appliance,),
    )
    return _INSPECTION.codec.decode_all(rows, register.damage.note_record if readable else None)


def effective_inspections(register: Register, appliance: Uid, *, readable: bool = False) -> list[Inspection]:
    """The inspections of an appliance that count, newest first; `readable` as in inspections_of."""
    rows = register.rows(
        f"SELECT {_INSPECTION_COLUMNS} FROM inspection i WHERE i.appliance = ? AND {STANDING} "
        'ORDER BY i."date" DESC, i.uid DESC',
        (appliance,),
    )
    return _INSPECTION.codec.decode_all(rows, register.damage.note_record if readable else None)


def inspections_of_visit(register: Register, visit: Uid, *, effective: bool = True) -> list[Inspection]:
    """The inspections of a visit in the order in which they were saved; by default only those that count."""
    test = f" AND {STANDING}" if effective else ""
    rows = register.rows(
        f"SELECT {_INSPECTION_COLUMNS} FROM inspection i WHERE i.visit = ?{test} ORDER BY i.uid", (visit,)
    )
    return _INSPECTION.codec.decode_all(rows)


def is_withdrawn(register: Register, inspection: Uid) -> bool:
    """Tell whether an inspection has been taken back."""
    return bool(register.rows("SELECT 1 FROM inspection_withdrawal WHERE inspection = ?", (inspection,)))


def successor_of(register: Register, inspection: Uid) -> Uid | None:
    """The inspection that supersedes this one and was not taken back itself."""
    rows = register.rows(
        "SELECT s.uid FROM inspection s WHERE s.supersedes = ? "
        "AND NOT EXISTS (SELECT 1 FROM inspection_withdrawal v WHERE v.inspection = s.uid)",
        (inspection,),
    )
    return Uid(rows[0][0]) if rows else None


def findings_of(register: Register, inspection: Uid, *, readable: bool = False) -> list[FindingRecord]:
    """The findings of an inspection in the order of the checks; `readable` as in inspections_of."""
    rows = register.rows(
        f"SELECT {_FINDING.columns} FROM finding WHERE inspection = ? ORDER BY position", (inspection,)
    )
    return _FINDING.codec.decode_all(rows, register.damage.note_record if readable else None)


def findings_of_visit(register: Register, visit: Uid) -> dict[Uid, list[FindingRecord]]:
    """The findings of every inspection of a visit, by inspection, in the order of the checks."""
    columns = ", ".join(f'f."{name}"' for name in _FINDING.codec.names)
    rows = register.rows(
        f"SELECT {columns} FROM inspection i JOIN finding f ON f.inspection = i.uid WHERE i.visit = ? "
        "ORDER BY i.uid, f.position",
        (visit,),
    )
    grouped: dict[Uid, list[FindingRecord]] = {}
    for finding in _FINDING.codec.decode_all(rows):
        grouped.setdefault(finding.inspection, []).append(finding)
    return grouped


def latest_findings(register: Register, site: Uid) -> dict[Uid, list[FindingRecord]]:
    """The findings behind each appliance's latest result at a site, by appliance."""
    columns = ", ".join(f'f."{name}"' for name in _FINDING.codec.names)
    rows = register.rows(
        f"SELECT a.uid, {columns} FROM appliance a JOIN finding f ON f.inspection = a.last_inspection "
        f"WHERE a.site = ? ORDER BY {by_tag('a.tag')}, f.position",
        (site,),
    )
    grouped: dict[Uid, list[FindingRecord]] = {}
    for appliance, *cells in rows:
        grouped.setdefault(Uid(appliance), []).append(_FINDING.codec.decode(cells))
    return grouped
