"""A site whose kettles have been inspected many times: enough evidence to weigh."""

from datetime import date
from typing import Final

from dateutil.relativedelta import relativedelta

from appreg.core.records.kept_records import Appliance, FindingRecord, Inspection, InspectionKind, Record, Visit
from appreg.core.values.outcomes import CheckResult, Outcome
from appreg.core.values.uids import Uid
from tests.tasks.worked_site import WHO, WorkedSite

PASSED, SEEN, MEASURED = "", "visual", "earth-continuity"
LAST: Final = date(2025, 11, 24)
"""The day of the last of them."""


def fill(here: WorkedSite, outcomes: list[str], *, items: int = 5, months: int = 12) -> list[Appliance]:
    """Kettles with so many combined inspections, each passed or failed by the check named, an interval apart.

    Each was inspected a first time before, and tested again on the day it failed: neither counts as evidence.
    Half-way between two of them each was looked at.
    """
    kettles = [here.kettle() for _ in range(items)]
    rounds = -(-len(outcomes) // items)
    with here.register.change(WHO) as change:
        visit = Visit(uid=change.new_uid(), site=here.site.uid, date=LAST, person=here.person.uid)
        change.put(visit)
        records: list[Record] = []

        def inspected(
            kettle: Appliance, back: int, failed: str, kind: InspectionKind = InspectionKind.COMBINED
        ) -> None:
            inspection = Inspection(
                uid=change.new_uid(),
                appliance=kettle.uid,
                visit=visit.uid,
                date=LAST - relativedelta(months=back),
                kind=kind,
                person=here.person.uid,
                rule_book="gb",
                rule_book_version="gb 1",
                outcome=Outcome.FAIL if failed else Outcome.PASS,
                item_facts="{}",
            )
            records.append(inspection)
            if failed:
                records.append(_failure(change.new_uid(), inspection, failed))

        for kettle in kettles:
            inspected(kettle, rounds * months, PASSED)
        for at, failed in enumerate(outcomes):
            kettle, back = kettles[at % items], (rounds - 1 - at // items) * months
            inspected(kettle, back + months // 2, PASSED, InspectionKind.VISUAL)
            inspected(kettle, back, failed)
            if failed:
                inspected(kettle, back, PASSED)
        change.put_many(records)
    return kettles


def _failure(uid: Uid, inspection: Inspection, check: str) -> FindingRecord:
    return FindingRecord(
        uid=uid,
        inspection=inspection.uid,
        position=1,
        check_name=check,
        reading="",
        unit="",
        finding=CheckResult.FAIL.value,
        arithmetic="",
        source="",
        basis="",
    )
