"""What past inspections came to, item by item and year by year, for the weighing of intervals."""

from datetime import date
from typing import Any, Final

from msgspec.structs import replace

from appreg.core.judging.methods import LEFT_OUT_BEGINS
from appreg.core.records.kept_records import Appliance, InspectionKind
from appreg.core.values.outcomes import AS_FOUND_BAD, Outcome
from appreg.core.values.uids import Uid
from appreg.register.lists.counting_inspections import INSPECTION_PLACE, STANDING
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_codec import is_day
from appreg.register.schema.record_kinds import kind_of
from appreg.schedule.as_found import FinishedInspection

_APPLIANCE: Final = kind_of(Appliance)
_KINDS: Final = frozenset(kind.value for kind in InspectionKind)
_TELLS_OF: Final = f"""CASE WHEN i.outcome = '{Outcome.PASS}' AND EXISTS (
    SELECT 1 FROM finding f WHERE f.inspection = i.uid AND f.method LIKE '{LEFT_OUT_BEGINS}%'
    ) THEN '{InspectionKind.VISUAL}' ELSE i.kind END"""
"""The kind of an inspection as evidence: a pass without a check tells of what was seen, not of an interval of tests."""
_OUTCOMES: Final = frozenset({Outcome.PASS.value, Outcome.FAIL.value})


def finished_inspections(register: Register, *, site: Uid | None = None) -> list[FinishedInspection]:
    """Every inspection of the items now at a site, or of all, corrections in place of what they correct.

    Item by item, each in the order of its days; of one day in the order of the journal. A pass that left a check out
    counts as a look alone.
    """
    here, parameters = ("", ()) if site is None else (" AND a.site = ?", (site,))
    rows = register.rows(
        f"""SELECT i.uid, i.appliance, {_TELLS_OF}, i."date",
            i.outcome, (
                SELECT {register.dialect.joined_words("f.check_name")} FROM finding f
                WHERE f.inspection = i.uid
                AND (f.finding = 'fail' OR (f.unit = '' AND f.attempts LIKE ?)))
        FROM inspection i JOIN appliance a ON a.uid = i.appliance
        WHERE (i.outcome IS NULL OR i.outcome <> 'incomplete'){here} AND {STANDING}
        ORDER BY i.appliance, i."date", {INSPECTION_PLACE}, i.uid""",
        (f'%{AS_FOUND_BAD}"%', *parameters),
    )
    before = [(None, False), *((item, outcome == Outcome.FAIL) for _, item, _, _, outcome, _ in rows)]
    return [
        replace(_finished(register, row), retest=earlier == (row[1], True))
        for earlier, row in zip(before, rows, strict=False)
    ]


def _finished(register: Register, row: tuple[Any, ...]) -> FinishedInspection:
    uid, item, kind, day, outcome, checks = row
    unreadable = kind not in _KINDS or outcome not in _OUTCOMES or not is_day(day)
    if unreadable:
        register.damage.note(
            f"Inspection {uid}",
            f"Inspection {uid}: its kind, date or outcome is damaged, so no interval is lengthened by it; "
            "run `appreg verify`.",
        )
    return FinishedInspection(
        appliance=Uid(item),
        kind=InspectionKind.COMBINED if unreadable else InspectionKind(kind),
        on=date.min if unreadable else date.fromisoformat(day),
        failed_checks=tuple((checks or "").split()),
        failed=outcome == Outcome.FAIL or bool(checks),
        unreadable=unreadable,
    )


def items_ever(register: Register, *, site: Uid | None = None) -> list[Appliance]:
    """All items of a site or of the register, those disposed of included, by tag."""
    here, parameters = ("", ()) if site is None else (" WHERE site = ?", (site,))
    rows = register.rows(f"SELECT {_APPLIANCE.columns} FROM appliance{here} ORDER BY tag_key", parameters)
    return _APPLIANCE.codec.decode_all(rows, register.damage.note_record)
