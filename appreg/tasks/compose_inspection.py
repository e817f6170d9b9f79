"""Compose the records of an inspection out of its judgement and what was said beside it."""

from collections.abc import Callable, Mapping

from appreg.core.appliances import ItemFacts
from appreg.core.checks import Check, Entries
from appreg.core.findings import Finding
from appreg.core.instrument_accuracy import InstrumentAccuracy
from appreg.core.item_facts import facts_text
from appreg.core.lean_dataclasses import dataclass, replace
from appreg.core.methods import Method, how_measured, method_text
from appreg.core.outcomes import CheckResult
from appreg.core.records import Appliance, FindingRecord, Inspection, InspectionKind, Visit
from appreg.core.rule_book import RuleBook
from appreg.core.text import clean
from appreg.core.uids import Uid
from appreg.core.verdicts import Judgement
from appreg.tasks.check_record import LONGEST_NOTE
from appreg.tasks.state_uncertainty import stated_uncertainty


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What was said beside the readings, cleaned."""

    remarks: str
    by_check: Mapping[Check, str]
    attempts: Mapping[Check, tuple[str, ...]]
    supersedes: Uid | None
    reason: str


def cleaned_words(
    remarks: str,
    by_check: Mapping[Check, str],
    attempts: Mapping[Check, tuple[str, ...]],
    *,
    supersedes: Uid | None,
    reason: str,
) -> Said:
    """Clean what was said; raises InputRefused naming the field."""
    return Said(
        remarks=clean(remarks, field="remarks", longest=LONGEST_NOTE),
        by_check={check: clean(text, field=f"remark on {check}") for check, text in by_check.items()},
        attempts={
            check: tuple(clean(each, field=f"attempt of {check}") for each in every)
            for check, every in attempts.items()
        },
        supersedes=supersedes,
        reason=clean(reason, field="reason of the correction"),
    )


def cleaned_reasons(entries: Entries) -> Entries:
    """The entries with the reasons for what is left out cleaned; raises InputRefused naming the check."""
    cleaned = {check: clean(text, field=f"reason for leaving out {check}") for check, text in entries.left_out.items()}
    return replace(entries, left_out={check: text for check, text in cleaned.items() if text})


def composed_inspection(
    uid: Uid,
    item: Appliance,
    visit: Visit,
    *,
    kind: InspectionKind,
    facts: ItemFacts,
    judgement: Judgement,
    book: RuleBook,
    said: Said,
) -> Inspection:
    """The inspection as it is kept: dated and signed by its visit, with the rules and the item of the day."""
    return Inspection(
        uid=uid,
        appliance=item.uid,
        visit=visit.uid,
        date=visit.date,
        kind=kind,
        person=visit.person,
        instrument=visit.instrument,
        rule_book=book.id,
        rule_book_version=book.version,
        outcome=judgement.outcome,
        missing=tuple(each.value for each in judgement.missing),
        advice=(*(doubt.kept for doubt in judgement.doubts), *judgement.advice),
        item_facts=facts_text(facts),
        remarks=said.remarks,
        supersedes=said.supersedes,
        reason=said.reason,
    )


def composed_findings(
    new_uid: Callable[[], Uid],
    inspection: Uid,
    judgement: Judgement,
    *,
    facts: ItemFacts,
    book: RuleBook,
    entries: Entries,
    said: Said,
    accuracy: InstrumentAccuracy,
) -> tuple[FindingRecord, ...]:
    """The findings as they are kept, in the order of the checks."""

    def method_of(finding: Finding) -> str:
        if finding.result is CheckResult.NOT_DONE:
            return method_text(Method(left_out=finding.left_out))
        return method_text(how_measured(finding.check, facts, entries, book))

    def composed(at: int, finding: Finding) -> FindingRecord:
        uncertainty, zone = stated_uncertainty(finding, entries, accuracy)
        return FindingRecord(
            uid=new_uid(),
            inspection=inspection,
            position=at,
            check_name=finding.check.value,
            reading=finding.reading,
            unit=str(finding.unit),
            limit_low=finding.limit_low,
            limit_high=finding.limit_high,
            comparison=str(finding.comparison),
            finding=finding.result.value,
            arithmetic=finding.arithmetic,
            source=finding.source,
            basis=str(finding.basis),
            uncertainty=uncertainty,
            zone=str(zone),
            remark=said.by_check.get(finding.check, ""),
            attempts=said.attempts.get(finding.check, ()),
            method=method_of(finding),
        )

    return tuple(composed(at, finding) for at, finding in enumerate(judgement.findings, 1))
