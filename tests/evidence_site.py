"""A site whose kettles have been inspected many times: enough evidence to weigh."""

from datetime import date, timedelta

from appreg.core.outcomes import CheckResult, Outcome
from appreg.core.records import Appliance, FindingRecord, Inspection, InspectionKind, Record, Visit
from appreg.core.uids import Uid
from tests.tasks.worked_site import WHO, WorkedSite

PASSED, SEEN, MEASURED = "", "visual", "earth-continuity"


def fill(here: WorkedSite, outcomes: list[str], *, items: int = 5) -> list[Appliance]:
    """Kettles with so many combined inspections, each passed or failed by the check named, some days apart.

    Each was inspected a first time before, and tested again on the day it failed: neither counts as evidence.
    """
    kettles = [here.kettle() for _ in range(items)]
    with here.register.change(WHO) as change:
        visit = Visit(uid=change.new_uid(), site=here.site.uid, date=date(2024, 1, 1), person=here.person.uid)
        change.put(visit)
        records: list[Record] = []

        def inspected(kettle: Appliance, on: date, failed: str) -> None:
            inspection = Inspection(
                uid=change.new_uid(),
                appliance=kettle.uid,
                visit=visit.uid,
                date=on,
                kind=InspectionKind.COMBINED,
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
            inspected(kettle, date(2023, 1, 1), PASSED)
        for at, failed in enumerate(outcomes):
            day = date(2024, 1, 1) + timedelta(days=at)
            inspected(kettles[at % items], day, failed)
            if failed:
                inspected(kettles[at % items], day, PASSED)
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
