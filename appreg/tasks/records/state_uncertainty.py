"""State how far a reading can be trusted beside its limit, by the instrument's own accuracy."""

from decimal import Decimal

from appreg.core.judging.instrument_accuracy import InstrumentAccuracy, parse_accuracy
from appreg.core.judging.uncertainty import zone_of
from appreg.core.records.checks import Check, Entries, LeakageMethod
from appreg.core.records.findings import Finding
from appreg.core.records.kept_records import Instrument
from appreg.core.values.outcomes import CheckResult
from appreg.core.values.readings import Comparator, Unit, parse_reading
from appreg.errors import InputRefused


def accuracy_of(instrument: Instrument | None) -> InstrumentAccuracy:
    """What the instrument states; nothing where it states none, or what it states cannot be read."""
    try:
        return parse_accuracy(instrument.accuracy) if instrument else InstrumentAccuracy()
    except InputRefused:
        return InstrumentAccuracy()


def stated_uncertainty(finding: Finding, entries: Entries, stated: InstrumentAccuracy) -> tuple[Decimal | None, str]:
    """Expanded uncertainty of a finding's reading (k = 2, in its unit) and its zone; None and '' where unknown.

    Only of a plain figure compared as it was read: not of `>299`, nor of a reading scaled or referred to 20 °C.
    """
    if not finding.unit or finding.result is CheckResult.NOT_DONE or _is_converted(finding.check, entries):
        return None, ""
    try:
        reading = parse_reading(finding.reading, Unit(finding.unit))
    except (InputRefused, ValueError):
        return None, ""
    if reading.value is None or reading.comparator is not Comparator.EQUAL:
        return None, ""
    accuracy = stated.of(finding.check, reading.value)
    if accuracy is None:
        return None, ""
    expanded = accuracy.expanded(reading.value)
    zone = zone_of(reading.value, expanded, low=finding.limit_low, high=finding.limit_high)
    return expanded, zone.value


def _is_converted(check: Check, entries: Entries) -> bool:
    if check is Check.EARTH_CONTINUITY:
        return entries.earth is not None and entries.earth.conductor_celsius is not None
    return check is Check.LEAKAGE and entries.leakage is not None and entries.leakage.method is LeakageMethod.SUBSTITUTE
