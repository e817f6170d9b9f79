"""Guarded acceptance: a reading passes only where it clears its limit by its expanded uncertainty.

ILAC-G8:09/2019: the acceptance limit is the tolerance limit less, or for a lower limit plus, the guard band w = U.
What falls into the guard band is inconclusive here: it proves no pass, and simple acceptance would not call it a failure.
"""

from decimal import Decimal

from appreg.core.check_findings import NO_TRIP
from appreg.core.checks import Check, Entries, LeakageMethod
from appreg.core.findings import Finding
from appreg.core.instrument_accuracy import InstrumentAccuracy
from appreg.core.leakage_limits import scaled_substitute
from appreg.core.lean_dataclasses import replace
from appreg.core.limits import NoLimit, terse
from appreg.core.outcomes import CheckResult, Outcome
from appreg.core.readings import Unit, parse_reading
from appreg.core.rule_book import RuleBook
from appreg.core.uncertainty import accepts_guarded
from appreg.core.verdicts import Judgement


def guarded_judgement(judgement: Judgement, entries: Entries, book: RuleBook, stated: InstrumentAccuracy) -> Judgement:
    """Take back each pass that the instrument's stated accuracy does not bear out; nothing else changes."""
    findings = tuple(_guarded(finding, entries, book, stated) for finding in judgement.findings)
    if findings == judgement.findings:
        return judgement
    outcome = Outcome.INCOMPLETE if judgement.outcome is Outcome.PASS else judgement.outcome
    return replace(judgement, outcome=outcome, findings=findings)


def _guarded(finding: Finding, entries: Entries, book: RuleBook, stated: InstrumentAccuracy) -> Finding:
    limited = finding.limit_low is not None or finding.limit_high is not None
    if finding.result is not CheckResult.PASS or not limited or finding.reading == NO_TRIP:
        return finding
    why = _why_not(finding, entries, book, stated)
    if not why:
        return finding
    arithmetic = "; ".join(part for part in (finding.arithmetic, why) if part)
    return replace(finding, result=CheckResult.INCONCLUSIVE, arithmetic=arithmetic)


def _why_not(finding: Finding, entries: Entries, book: RuleBook, stated: InstrumentAccuracy) -> str:
    """Why a pass is not borne out; empty where it is."""
    value = parse_reading(finding.reading, Unit(finding.unit)).value
    factor = _factor(finding.check, entries, book)
    accuracy = None if value is None else stated.of(finding.check, value)
    if value is None or accuracy is None or factor is None:
        return "guarded: the instrument states no accuracy for this reading"
    expanded = accuracy.expanded(value) * factor
    if accepts_guarded(value * factor, expanded, low=finding.limit_low, high=finding.limit_high):
        return ""
    return f"guarded: the limit lies within {terse(round(expanded, 4))} {finding.unit} of the reading"


def _factor(check: Check, entries: Entries, book: RuleBook) -> Decimal | None:
    """What the reading was multiplied by before it was compared; None where that is not known."""
    if check is Check.EARTH_CONTINUITY:
        return None if entries.earth is None or entries.earth.conductor_celsius is not None else Decimal(1)
    leakage = entries.leakage
    if check is not Check.LEAKAGE or leakage is None or leakage.method is not LeakageMethod.SUBSTITUTE:
        return Decimal(1)
    scaled = scaled_substitute(leakage, book)
    raw = leakage.reading.value
    if isinstance(scaled, NoLimit) or raw is None or scaled[0].value is None:
        return None
    if raw == 0:
        return leakage.rated_volts / leakage.applied_volts if leakage.rated_volts and leakage.applied_volts else None
    return scaled[0].value / raw
