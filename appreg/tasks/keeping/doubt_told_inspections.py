"""Whether inspections that a file tells can have come to what it says they came to."""

from collections.abc import Iterator, Sequence
from typing import Final

from appreg.core.judging.check_findings import compare
from appreg.core.records.checks import Check
from appreg.core.records.kept_records import FindingRecord, Inspection
from appreg.core.rules.limits import Limit
from appreg.core.rules.rule_values import Basis, Citation
from appreg.core.values.outcomes import CheckResult, Outcome
from appreg.core.values.readings import Unit, parse_reading
from appreg.errors import InputRefused

_TOLD: Final = Citation(source="", basis=Basis.PUBLISHED)


def untrue_inspections(
    inspections: Sequence[Inspection], findings: Sequence[FindingRecord]
) -> Iterator[tuple[Inspection, str]]:
    """Those whose outcome their findings do not bear out, or that lack a finding, with what is wrong in words."""
    by_inspection: dict[str, list[FindingRecord]] = {}
    for finding in findings:
        by_inspection.setdefault(finding.inspection, []).append(finding)
    for each in inspections:
        own = sorted(by_inspection.get(each.uid, ()), key=lambda finding: finding.position)
        what = _untrue(each, own)
        if what:
            yield each, what


def _untrue(inspection: Inspection, findings: Sequence[FindingRecord]) -> str:
    if [finding.position for finding in findings] != [*range(1, len(findings) + 1)]:
        return "a finding is missing or stands twice"
    results = {finding.finding for finding in findings}
    if (CheckResult.FAIL in results) != (inspection.outcome is Outcome.FAIL):
        return f"it is told as {inspection.outcome}, which its findings do not say"
    if inspection.outcome is not Outcome.PASS:
        return ""
    if inspection.missing or CheckResult.PASS not in results or not all(map(_lets_pass, findings)):
        return "it is told as pass, which its findings do not say"
    return next((said for finding in findings if (said := _untrue_pass(finding, findings))), "")


def _lets_pass(finding: FindingRecord) -> bool:
    """A check that was left out says why in its method."""
    left_out = finding.finding == CheckResult.NOT_DONE and finding.method != ""
    return left_out or finding.finding == CheckResult.PASS


def _untrue_pass(finding: FindingRecord, beside: Sequence[FindingRecord]) -> str:
    """A plain reading told as pass that its own limit refuses; how others were reckoned their method says."""
    low, high = finding.limit_low, finding.limit_high
    if finding.finding != CheckResult.PASS or (low is None and high is None):
        return ""
    if not finding.reading:
        return f"{finding.check_name} is told as pass without a reading"
    by_current = finding.check_name == Check.INSULATION and any(each.check_name == Check.LEAKAGE for each in beside)
    if finding.method or by_current:
        return ""
    try:
        reading = parse_reading(finding.reading, Unit(finding.unit))
    except (InputRefused, ValueError):
        return ""
    limit = Limit(low=low, high=high, unit=reading.unit, arithmetic="", citation=_TOLD)
    if compare(reading, limit).result is CheckResult.FAIL:
        return f"{finding.check_name} is told as pass, and {finding.reading} {finding.unit} is beyond its limit"
    return ""
