"""Judge what was entered of one item, the same way on the Bench as on record."""

from collections.abc import Collection

from appreg.core.appliances import ItemFacts
from appreg.core.checks import Check, Entries
from appreg.core.findings import Finding
from appreg.core.instrument_accuracy import InstrumentAccuracy
from appreg.core.lean_dataclasses import replace
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
    read_so: Collection[str] = (),
) -> Judgement:
    """Judge what was entered; of a visual inspection the visual check alone decides.

    `stated` is the accuracy of the visit's instrument, `guarded` whether the site asks for guarded acceptance,
    `read_so` the words of each doubt that a person confirmed: no pass rests on a doubt that is not among them.
    Raises InputRefused where a visual inspection brings readings, so that none is lost.
    """
    if kind is InspectionKind.VISUAL and entries != Entries(visual=entries.visual):
        raise InputRefused(
            f"{tag}: a visual inspection keeps the visual check alone; "
            "record a combined inspection and test to keep the readings."
        )
    whole = _held_back(judge(facts, entries, book, stated=stated, guarded=guarded), read_so)
    if kind is InspectionKind.COMBINED:
        return whole
    findings = tuple(each for each in whole.findings if each.check is Check.VISUAL)
    missing = tuple(each for each in whole.missing if each is Check.VISUAL)
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


def _held_back(whole: Judgement, read_so: Collection[str]) -> Judgement:
    """The judgement with each pass taken back that rests on a doubted reading nobody has confirmed."""
    doubts = tuple(replace(doubt, confirmed=doubt.words in read_so) for doubt in whole.doubts)
    doubted = {doubt.check for doubt in doubts if not doubt.confirmed}
    findings = tuple(_doubted(each) if each.check in doubted else each for each in whole.findings)
    passed = whole.outcome is Outcome.PASS and findings == whole.findings
    outcome = Outcome.INCOMPLETE if whole.outcome is Outcome.PASS and not passed else whole.outcome
    return replace(whole, doubts=doubts, findings=findings, outcome=outcome)


def _doubted(finding: Finding) -> Finding:
    if finding.result is not CheckResult.PASS:
        return finding
    arithmetic = "; ".join(part for part in (finding.arithmetic, "the reading is doubted and not confirmed") if part)
    return replace(finding, result=CheckResult.INCONCLUSIVE, arithmetic=arithmetic)
