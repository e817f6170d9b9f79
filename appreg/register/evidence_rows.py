"""What past inspections came to, item by item and year by year, for the weighing of intervals."""

from dataclasses import dataclass
from typing import Final

from appreg.core.records import Appliance, InspectionKind
from appreg.core.uids import Uid
from appreg.register.inspection_lists import INSPECTION_PLACE, STANDING
from appreg.register.record_kinds import kind_of
from appreg.register.register_file import Register
from appreg.register.tag_sorting import by_tag

_APPLIANCE: Final = kind_of(Appliance)


@dataclass(frozen=True, slots=True, kw_only=True)
class FinishedInspection:
    """One inspection that counts and came to a pass or a fail."""

    appliance: Uid
    kind: InspectionKind
    year: int
    failed_checks: tuple[str, ...]
    """Names of the checks that failed; empty: it passed."""
    failed: bool
    retest: bool = False
    """The finished inspection of the item before it failed: this one tells of the repair, not of an interval."""


def finished_inspections(register: Register, *, site: Uid | None = None) -> list[FinishedInspection]:
    """Every inspection of the items now at a site, or of all, corrections in place of what they correct.

    Item by item, each in the order of its days; of one day in the order of the journal.
    """
    here, parameters = ("", ()) if site is None else (" AND a.site = ?", (site,))
    rows = register.rows(
        f"""SELECT i.appliance, i.kind, substr(i."date", 1, 4), i.outcome = 'fail',
            CASE WHEN i.outcome = 'fail' THEN (
                SELECT group_concat(f.check_name, ' ') FROM finding f
                WHERE f.inspection = i.uid AND f.finding = 'fail') END
        FROM inspection i JOIN appliance a ON a.uid = i.appliance
        WHERE i.outcome IN ('pass', 'fail'){here} AND {STANDING}
        ORDER BY i.appliance, i."date", {INSPECTION_PLACE}, i.uid""",
        parameters,
    )
    before = [(None, False), *((item, bool(failed)) for item, _, _, failed, _ in rows)]
    return [
        FinishedInspection(
            appliance=Uid(item),
            kind=InspectionKind(kind),
            year=int(year),
            failed_checks=tuple((checks or "").split()),
            failed=bool(failed),
            retest=earlier == (item, True),
        )
        for earlier, (item, kind, year, failed, checks) in zip(before, rows, strict=False)
    ]


def items_ever(register: Register, *, site: Uid | None = None) -> list[Appliance]:
    """All items of a site or of the register, those disposed of included, by tag."""
    here, parameters = ("", ()) if site is None else (" WHERE site = ?", (site,))
    rows = register.rows(f"SELECT {_APPLIANCE.columns} FROM appliance{here} ORDER BY {by_tag()}", parameters)
    return _APPLIANCE.codec.decode_all(rows)
