"""Judge what was entered of one item, the same way on the Bench as on record."""

from appreg.core.appliances import ItemFacts
from appreg.core.checks import Check, Entries
from appreg.core.findings import Finding
from appreg.core.instrument_accuracy import InstrumentAccuracy
from appreg.core.outcomes import CheckResult, Outcome
from appreg.core.records import AssetTag, InspectionKind
from appreg.core.rule_book import RuleBook
from appreg.core.verdicts import Judgement, judge
from appreg.errors import InputRefused


def judge_item(
    tag: AssetTag,
    facts: ItemFacts,
    kind: InspectionKind,
    entries: Entries,
    book: RuleBook,
    *,
    stated: InstrumentAccuracy,
    guarded: bool,
) -> Judgement:
    """Judge what was entered; of a visual inspection the visual check alone decides, unless a test was begun in it.

    `stated` is the accuracy of the visit's instrument, `guarded` whether the site asks for guarded acceptance.
    Raises InputRefused where a visual inspection brings readings, so that none is lost.
    """
    if kind is InspectionKind.VISUAL and entries != Entries(visual=entries.visual, begun=entries.begun):
        raise InputRefused(
            f"{tag}: a visual inspection keeps the visual check alone; "
            "record a combined inspection and test to keep the readings."
        )
    whole = judge(facts, entries, book, stated=stated, guarded=guarded)
    if kind is InspectionKind.COMBINED:
        return whole
    asked = {Check.VISUAL, *entries.begun}
    findings = tuple(each for each in whole.findings if each.check in asked)
    missing = tuple(each for each in whole.missing if each in asked)
    return Judgement(
        outcome=_visual_outcome(findings),
        findings=findings,
        missing=missing,
        advice=whole.advice,
        closed=whole.closed,
        entries=whole.entries,
    )


def _visual_outcome(findings: tuple[Finding, ...]) -> Outcome:
    results = {each.result for each in findings}
    if results == {CheckResult.PASS}:
        return Outcome.PASS
    return Outcome.FAIL if CheckResult.FAIL in results else Outcome.INCOMPLETE
