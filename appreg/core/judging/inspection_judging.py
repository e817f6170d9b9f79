"""Judge what was entered of one item in an inspection, the same way on the Bench as on record."""

from collections.abc import Collection, Mapping

from msgspec import Struct
from msgspec.structs import replace

from appreg.core.judging.doubts import Doubt
from appreg.core.judging.instrument_accuracy import InstrumentAccuracy
from appreg.core.judging.typed_checks import TypedChecks, read_checks
from appreg.core.judging.verdicts import Judgement, judge_item
from appreg.core.records.appliances import ItemFacts
from appreg.core.records.checks import Check, Entries
from appreg.core.records.findings import Finding
from appreg.core.records.kept_records import InspectionKind
from appreg.core.rules.check_rules import CheckRules
from appreg.core.values.outcomes import CheckResult, Outcome
from appreg.errors import InputRefused


class TypedJudgement(Struct, frozen=True, kw_only=True):
    """What all that was typed of an item amounts to, readable or not."""

    entries: Entries
    """As judged: of several readings of a check the worst."""
    facts: ItemFacts
    judgement: Judgement
    findings: Mapping[Check, Finding]
    problems: Mapping[str, str]
    """By the name of a check or figure: why what is typed there cannot be read, in a sentence."""
    outcome: Outcome
    """As judged, but never a pass while something typed cannot be read."""
    closing: Check | None
    """The first failed check that closes others."""

    def closed_by(self, check: Check) -> Check | None:
        """The failed check that closes a check; None where it is open."""
        return self.judgement.closed.get(check)

    def doubts(self, check: Check | None = None) -> tuple[Doubt, ...]:
        """The doubts that nobody has confirmed, about a check or about all."""
        return tuple(doubt for doubt in self.judgement.doubts if not doubt.confirmed and check in {None, doubt.check})


def judge_typed(
    typed: TypedChecks,
    rules: CheckRules,
    kind: InspectionKind,
    *,
    stated: InstrumentAccuracy,
    guarded: bool,
    read_so: Collection[str] = (),
) -> TypedJudgement:
    """Read what was typed and judge it; of a visual inspection the visual check alone is judged."""
    read = read_checks(typed)
    looked = Entries(visual=read.entries.visual, begun=read.entries.begun)
    entries = read.entries if kind is InspectionKind.COMBINED else looked
    judgement = judge_inspection(rules, kind, entries, stated=stated, guarded=guarded, read_so=read_so)
    unread = bool(read.problems) and judgement.outcome is Outcome.PASS
    return TypedJudgement(
        entries=judgement.entries,
        facts=rules.facts,
        judgement=judgement,
        findings={finding.check: finding for finding in judgement.findings},
        problems=read.problems,
        outcome=Outcome.INCOMPLETE if unread else judgement.outcome,
        closing=next((check for check in Check if check in judgement.closed.values()), None),
    )


def judge_inspection(
    rules: CheckRules,
    kind: InspectionKind,
    entries: Entries,
    *,
    stated: InstrumentAccuracy,
    guarded: bool,
    read_so: Collection[str] = (),
) -> Judgement:
    """Judge what was entered; of a visual inspection the visual check alone decides, unless a test was begun in it.

    `stated` is the accuracy of the visit's instrument, `guarded` whether the site asks for guarded acceptance,
    `read_so` the words of each doubt that a person confirmed: no pass rests on a doubt that is not among them.
    Raises InputRefused where a visual inspection brings readings, so that none is lost.
    """
    if kind is InspectionKind.VISUAL and entries != Entries(visual=entries.visual, begun=entries.begun):
        raise InputRefused(
            "A visual inspection keeps the visual check alone; "
            "record a combined inspection and test to keep the readings."
        )
    whole = _held_back(judge_item(rules, entries, stated=stated, guarded=guarded), read_so)
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


def _held_back(whole: Judgement, read_so: Collection[str]) -> Judgement:
    """The judgement with each pass taken back that rests on a doubted reading nobody has confirmed."""
    if not whole.doubts:
        return whole
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
