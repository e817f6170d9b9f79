"""Guarded acceptance: a reading passes only where it clears its limit by its expanded uncertainty.

ILAC-G8:09/2019, two outcomes: the acceptance limit is the tolerance limit less, or for a lower limit plus, the guard
band w = U. What lies beyond it fails; where U is not known there is doubt, and doubt is never a pass.
"""

from decimal import Decimal
from typing import Final

from msgspec.structs import replace

from appreg.core.judging.instrument_accuracy import InstrumentAccuracy
from appreg.core.judging.uncertainty import accepts_guarded
from appreg.core.records.checks import NO_TRIP, Check, Entries, LeakageMethod
from appreg.core.records.findings import Finding
from appreg.core.rules.earth_limits import at_reference
from appreg.core.rules.leakage_limits import scaled_substitute
from appreg.core.rules.limits import NoLimit, terse
from appreg.core.rules.rule_book import RuleBook
from appreg.core.values.outcomes import CheckResult
from appreg.core.values.readings import Comparator, Reading, Unit, parse_reading

_PLACES: Final = 6
"""Decimals of the arithmetic; readings are compared unrounded."""


def guarded_finding(finding: Finding, entries: Entries, book: RuleBook, stated: InstrumentAccuracy) -> Finding:
    """Take back a pass that the instrument's stated accuracy does not bear out; nothing else changes."""
    limited = finding.limit_low is not None or finding.limit_high is not None
    if finding.result is not CheckResult.PASS or not limited or finding.reading == NO_TRIP:
        return finding
    reading = parse_reading(finding.reading, Unit(finding.unit))
    accuracy = None if reading.value is None else stated.of(finding.check, reading.value)
    factor = _factor(finding.check, entries, book)
    if reading.value is None or accuracy is None or factor is None:
        return _taken_back(finding, CheckResult.INCONCLUSIVE, "the instrument states no accuracy for this reading")
    value, expanded = reading.value * factor, accuracy.expanded(reading.value) * factor
    if accepts_guarded(value, expanded, low=finding.limit_low, high=finding.limit_high):
        return finding
    # A sign says where the figure may lie, not where it lies: it proves no pass, and no failure either.
    plain = reading.comparator is Comparator.EQUAL
    result = CheckResult.FAIL if plain else CheckResult.INCONCLUSIVE
    return _taken_back(finding, result, _arithmetic(finding, "" if plain else reading.comparator, value, expanded))


def _taken_back(finding: Finding, result: CheckResult, why: str) -> Finding:
    arithmetic = "; ".join(part for part in (finding.arithmetic, f"{why}: guarded acceptance") if part)
    return replace(finding, result=result, arithmetic=arithmetic)


def _arithmetic(finding: Finding, sign: str, value: Decimal, expanded: Decimal) -> str:
    """The reading with its uncertainty against the end of the limit that it does not clear."""
    shown, band = (terse(round(number, _PLACES)) for number in (value, expanded))
    if finding.limit_high is not None and value + expanded > finding.limit_high:
        total = terse(round(value + expanded, _PLACES))
        return f"{sign}{shown} + U {band} = {total} > {terse(finding.limit_high)}"
    total = terse(round(value - expanded, _PLACES))
    return f"{sign}{shown} − U {band} = {total} < {terse(finding.limit_low or Decimal(0))}"


def _factor(check: Check, entries: Entries, book: RuleBook) -> Decimal | None:
    """What the reading was multiplied by before it was compared; None where that cannot be told."""
    earth, leakage = entries.earth, entries.leakage
    if check is Check.EARTH_CONTINUITY and earth is not None and earth.conductor_celsius is not None:
        return at_reference(_one(earth.reading), earth.conductor_celsius, book)[0].value
    if check is Check.LEAKAGE and leakage is not None and leakage.method is LeakageMethod.SUBSTITUTE:
        scaled = scaled_substitute(replace(leakage, reading=_one(leakage.reading)), book)
        return None if isinstance(scaled, NoLimit) else scaled[0].value
    return Decimal(1)


def _one(reading: Reading) -> Reading:
    """A reading of one, which conversion turns into its factor."""
    return replace(reading, value=Decimal(1))
