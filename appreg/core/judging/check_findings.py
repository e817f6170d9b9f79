"""The finding of each check: what was entered against the limit that applies."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from appreg.core.judging.contradictions import contradiction
from appreg.core.records.appliances import ItemFacts
from appreg.core.records.checks import Check, Entries, LeakageEntry, LeakageMethod
from appreg.core.records.findings import Finding
from appreg.core.rules.check_limits import UNIT_OF_CHECK, limit_of
from appreg.core.rules.earth_limits import at_reference
from appreg.core.rules.insulation_limits import decided_by_current, insulation_volts
from appreg.core.rules.leakage_limits import decides, leakage_method, scaled_substitute
from appreg.core.rules.limits import Limit, NoLimit, terse
from appreg.core.rules.rcd_limits import RCD_CHECKS
from appreg.core.rules.required_checks import fails_on_sight, resting_on_sight
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.second_lines import INSULATIONS, LINE_OF
from appreg.core.values.outcomes import CheckResult
from appreg.core.values.readings import Comparator, Reading
from appreg.errors import InputRefused


class Comparison(Struct, frozen=True):
    """What a reading proves, and why where it proves nothing."""

    result: CheckResult
    reason: str = ""


_PASS = Comparison(CheckResult.PASS)
_FAIL = Comparison(CheckResult.FAIL)
_FIRMEST = (CheckResult.FAIL, CheckResult.INCONCLUSIVE, CheckResult.PASS)


def compare(reading: Reading, limit: Limit) -> Comparison:
    """Compare the unrounded reading with the unrounded limit; a doubt is inconclusive, never a pass."""
    against = []
    if limit.high is not None:
        against.append(_against_upper(reading, limit.high))
    if limit.low is not None:
        against.append(_against_lower(reading, limit.low))
    return min(against, key=lambda comparison: _FIRMEST.index(comparison.result))


def _against_upper(reading: Reading, high: Decimal) -> Comparison:
    if reading.value is None:
        return Comparison(CheckResult.FAIL, "over range, beyond any such limit")
    if reading.comparator is Comparator.GREATER:
        return _FAIL if reading.value >= high else _undecided(reading, high, "below")
    if reading.value <= high:
        return _PASS
    return _undecided(reading, high, "above") if reading.comparator is Comparator.LESS else _FAIL


def _against_lower(reading: Reading, low: Decimal) -> Comparison:
    if reading.value is None:
        return Comparison(CheckResult.INCONCLUSIVE, "OL says nothing of the range; type its top, say >299")
    if reading.comparator is Comparator.LESS:
        return _FAIL if reading.value <= low else _undecided(reading, low, "above")
    if reading.value >= low:
        return _PASS
    return _undecided(reading, low, "below") if reading.comparator is Comparator.GREATER else _FAIL


def _undecided(reading: Reading, limit: Decimal, side: str) -> Comparison:
    value = reading.value if reading.value is not None else Decimal(0)
    proven = f"{reading.comparator}{terse(value)}"
    return Comparison(
        CheckResult.INCONCLUSIVE, f"{proven} proves nothing: it ends {side} {terse(limit)} {reading.unit}"
    )


NO_TRIP: Final = "none"
"""What stands as the reading of a device that did not trip."""

CONFIRM: Final = "confirm or change"

_NOTHING_TO_LINK: Final = Comparison(CheckResult.INCONCLUSIVE, "lines linked, but the item has one phase")
_SEEN: Final[Mapping[Check, tuple[str, str]]] = {
    Check.VISUAL: ("no defect seen", "defect seen"),
    Check.POLARITY: ("live, neutral and earth as they should be", "crossed or broken"),
    Check.FUNCTIONAL: ("works as intended", "does not work as intended"),
    Check.RCD_BUTTON: ("trips at its test button", "does not trip at its test button"),
}


def is_entered(check: Check, entries: Entries) -> bool:
    """Tell whether anything was entered for a check."""
    if check in RCD_CHECKS:
        return check in entries.rcd_trips
    if check in LINE_OF:
        return check in entries.second
    return _entry(check, entries) is not None


def finding_of(check: Check, facts: ItemFacts, entries: Entries, book: RuleBook) -> Finding:
    """Judge one check by itself; not entered: not done, with the limit that applies."""
    if check in _SEEN:
        return _seen(check, facts, entries, book)
    limit = limit_of(check, facts, book, entries.leakage.method if entries.leakage else None)
    if not is_entered(check, entries):
        return _measured(check, "", limit, Comparison(CheckResult.NOT_DONE), book)
    reading = _reading(check, entries)
    typed = reading.typed if reading else NO_TRIP
    if isinstance(limit, Limit):
        return _measured(check, typed, limit, _compared(check, facts, entries, limit, book), book)
    return _measured(check, typed, limit, Comparison(CheckResult.INCONCLUSIVE), book)


def closed_finding(own: Finding, book: RuleBook, closed_by: Check) -> Finding:
    """A check that an earlier failure closed: not done, whatever was entered."""
    name = "inspection.closed-by-insulation" if closed_by in INSULATIONS else "inspection.stop-after"
    stop = book.find(name)
    return replace(
        own,
        result=CheckResult.NOT_DONE,
        arithmetic=f"closed: {closed_by} failed, put that right first",
        source=stop.citation.line if stop else "",
        basis=stop.citation.basis if stop else "",
    )


def insulation_by_current(
    own: Finding, leakage: Finding | None, facts: ItemFacts, entries: Entries, book: RuleBook
) -> Finding:
    """Let protective-conductor current decide an insulation below its limit, where the book has it so."""
    above = decided_by_current(facts, book)
    if above is None or own.result in {CheckResult.PASS, CheckResult.NOT_DONE} or own.limit_low is None:
        return own
    why = f"{own.arithmetic}; heating above {above.shown} kW is decided by protective-conductor current"
    entry = entries.leakage
    if leakage is None or entry is None or not decides(facts, book, entry.method):
        return replace(own, result=CheckResult.INCONCLUSIVE, arithmetic=f"{why}, which is not measured")
    return replace(own, result=leakage.result, arithmetic=f"{why}: {leakage.reading} mA, {leakage.result}")


def _entry(check: Check, entries: Entries) -> object:
    return {
        Check.VISUAL: entries.visual,
        Check.EARTH_CONTINUITY: entries.earth,
        Check.POLARITY: entries.polarity,
        Check.INSULATION: entries.insulation,
        Check.LEAKAGE: entries.leakage,
        Check.FUNCTIONAL: entries.functional,
        Check.RCD_BUTTON: entries.rcd_button,
        Check.MICROWAVE: entries.microwave,
    }.get(check)


def _reading(check: Check, entries: Entries) -> Reading | None:
    """The reading of a measured check; None where a device did not trip."""
    if check in LINE_OF:
        return entries.second.get(check)
    entry = entries.rcd_trips.get(check) if check in RCD_CHECKS else _entry(check, entries)
    if entry is None or isinstance(entry, Reading):
        return entry
    reading: Reading = getattr(entry, "reading")  # noqa: B009
    return reading


def _typed(check: Check, entries: Entries) -> str:
    if not is_entered(check, entries):
        return ""
    if check in _SEEN:
        return "ok" if _entry(check, entries) else "bad"
    reading = _reading(check, entries)
    return reading.typed if reading else NO_TRIP


def _seen(check: Check, facts: ItemFacts, entries: Entries, book: RuleBook) -> Finding:
    found = _entry(check, entries)
    order = book.find("inspection.order")
    good, bad = _SEEN[check]
    result = CheckResult.NOT_DONE if found is None else CheckResult.PASS if found else CheckResult.FAIL
    on_sight = fails_on_sight(facts, book) if check is Check.VISUAL and found is not None else ""
    resting = resting_on_sight(facts, on_sight) if result is CheckResult.PASS else ()
    if resting:
        result, good = CheckResult.INCONCLUSIVE, f"{good}, but {on_sight} as assumed: {CONFIRM}"
    elif on_sight:
        result, bad, order = CheckResult.FAIL, on_sight, book.find("inspection.fails-on-sight")
    against = contradiction(facts) if check is Check.VISUAL else ""
    if against and result is CheckResult.PASS:
        result, good = CheckResult.INCONCLUSIVE, f"{good}, but the facts contradict each other: {against}"
    return Finding(
        check=check,
        reading=_typed(check, entries),
        unit="",
        limit_low=None,
        limit_high=None,
        comparison="",
        result=result,
        arithmetic="not done" if found is None else bad if result is CheckResult.FAIL else good,
        source=order.citation.line if order else "",
        basis=order.citation.basis if order else "",
        assumed=resting,
    )


def _measured(
    check: Check, typed: str, limit: Limit | NoLimit | None, comparison: Comparison, book: RuleBook
) -> Finding:
    known = limit if isinstance(limit, Limit) else None
    said = known.arithmetic if known else limit.reason if isinstance(limit, NoLimit) else ""
    return Finding(
        check=check,
        reading=typed,
        unit=UNIT_OF_CHECK[check],
        limit_low=known.low if known else None,
        limit_high=known.high if known else None,
        comparison=known.comparison if known else "",
        result=comparison.result,
        arithmetic="; ".join(part for part in (said, comparison.reason) if part),
        source=known.citation.line if known else f"rule book {book.version}",
        basis=known.citation.basis if known else "",
    )


def _compared(check: Check, facts: ItemFacts, entries: Entries, limit: Limit, book: RuleBook) -> Comparison:
    reading = _reading(check, entries)
    if reading is None:
        passed = check is Check.RCD_HALF
        return Comparison(CheckResult.PASS if passed else CheckResult.FAIL, "it did not trip")
    if check is Check.EARTH_CONTINUITY and entries.earth and entries.earth.conductor_celsius is not None:
        return _at_reference(reading, entries.earth.conductor_celsius, limit, book)
    if check is Check.INSULATION and entries.insulation:
        found = _at_volts(reading, entries.insulation.volts, facts, limit, book)
        linked = entries.insulation.lines_linked and facts.phases == 1
        return _NOTHING_TO_LINK if linked and found.result is CheckResult.PASS else found
    if check in INSULATIONS:
        return _at_volts(reading, entries.second_volts.get(check), facts, limit, book)
    if check is Check.LEAKAGE and entries.leakage:
        return _by_method(entries.leakage, facts, limit, book)
    return compare(reading, limit)


def _at_reference(reading: Reading, celsius: Decimal, limit: Limit, book: RuleBook) -> Comparison:
    try:
        referred, text = at_reference(reading, celsius, book)
    except InputRefused as refusal:
        return Comparison(CheckResult.INCONCLUSIVE, str(refusal).rstrip("."))
    return _after(text, compare(referred, limit))


def _at_volts(reading: Reading, volts: int | None, facts: ItemFacts, limit: Limit, book: RuleBook) -> Comparison:
    compared = compare(reading, limit)
    accepted = insulation_volts(facts, book)
    if compared.result is CheckResult.PASS and volts is None and facts.unsuitable_500v:
        return Comparison(CheckResult.INCONCLUSIVE, "500 V is marked unsuitable and the test voltage is not stated")
    if compared.result is CheckResult.PASS and volts is not None and accepted and volts < min(accepted):
        needed = " or ".join(str(each) for each in accepted)
        return Comparison(CheckResult.INCONCLUSIVE, f"measured at {volts} V d.c.: a pass needs {needed} V d.c.")
    return compared


def _by_method(entry: LeakageEntry, facts: ItemFacts, limit: Limit, book: RuleBook) -> Comparison:
    if leakage_method(facts, entry.method) is not LeakageMethod.SUBSTITUTE:
        return compare(entry.reading, limit)
    scaled = scaled_substitute(entry, book)
    if isinstance(scaled, NoLimit):
        return Comparison(CheckResult.INCONCLUSIVE, scaled.reason)
    reading, text = scaled
    return _after(text, compare(reading, limit))


def _after(text: str, comparison: Comparison) -> Comparison:
    return Comparison(comparison.result, "; ".join(part for part in (text, comparison.reason) if part))
