"""Checks once begun: what was measured or answered, or has failed before, is asked for, whatever is taken away."""

from collections.abc import Iterable
from typing import Final

from msgspec.structs import replace

from appreg.core.records.appliances import ItemFacts
from appreg.core.records.checks import Check, Entries
from appreg.core.records.findings import Finding
from appreg.core.rules.check_limits import limit_of
from appreg.core.rules.limits import Limit
from appreg.core.rules.rcd_limits import RCD_CHECKS
from appreg.core.rules.required_checks import required_checks
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.second_lines import LINE_OF, second_lines
from appreg.core.values.outcomes import CheckResult

BEGUN: Final = "once begun, or failed before, it is asked for until it is taken again"


def to_repeat(failed: Iterable[Check], facts: ItemFacts, book: RuleBook) -> dict[Check, int]:
    """Of the checks that failed, those that a retest must take again: all that still apply to the item as it is now."""
    return {check: 1 for check in failed if _applies(check, facts, book)}


def _applies(check: Check, facts: ItemFacts, book: RuleBook) -> bool:
    if check in required_checks(facts, book):
        return True
    if check in LINE_OF:
        return not facts.scope and LINE_OF[check] in second_lines(facts)
    if check in {Check.INSULATION, Check.LEAKAGE} or check in RCD_CHECKS:
        return not facts.scope and isinstance(limit_of(check, facts, book), Limit)
    if check is Check.FUNCTIONAL:
        return not facts.scope
    return check is Check.POLARITY and facts.equipment_type.is_lead


def held_open(finding: Finding, entries: Entries) -> Finding:
    """A check that was begun and of which less stands now: not done, or no pass any more."""
    once, now = entries.begun.get(finding.check, 0), entries.count(finding.check)
    if now >= once:
        return finding
    if not now:
        why = "; ".join(part for part in (finding.arithmetic, BEGUN) if part and part != "not done")
        return replace(finding, arithmetic=why)
    if finding.result is not CheckResult.PASS:
        return finding
    why = f"{finding.arithmetic}; {once} readings stood side by side before, now {now}: take all again"
    return replace(finding, result=CheckResult.INCONCLUSIVE, arithmetic=why)
