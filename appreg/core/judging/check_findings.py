"""The finding of each check: what was entered against the limit that applies."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from appreg.core.records.checks import NO_TRIP, Check, Entries, LeakageEntry, LeakageMethod
from appreg.core.records.findings import Finding
from appreg.core.rules.check_rules import CheckRules
from appreg.core.rules.earth_limits import at_reference
from appreg.core.rules.leakage_limits import decides, leakage_method, scaled_substitute
from appreg.core.rules.limits import Limit, NoLimit, terse
from appreg.core.rules.required_checks import resting_on_sight
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.second_lines import INSULATIONS
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


CONFIRM: Final = "confirm or change"

_NOTHING_TO_LINK: Final = Comparison(CheckResult.INCONCLUSIVE, "lines linked, but the item has one phase")
_SEEN: Final[Mapping[Check, tuple[str, str]]] = {
    Check.VISUAL: ("no defect seen", "defect seen"),
    Check.POLARITY: ("live, neutral and earth as they should be", "crossed or broken"),
    Check.FUNCTIONAL: ("works as intended", "does not work as intended"),
    Check.RCD_BUTTON: ("trips at its test button", "does not trip at its test button"),
}


def finding_of(check: Check, rules: CheckRules, entries: Entries) -> Finding:
    """Judge one check by itself; not entered: not done, with the limit that applies."""
    if check in _SEEN:
        return _seen(check, rules, entries)
    method = entries.leakage.method if entries.leakage and check is Check.LEAKAGE else None
    finding, limit = rules.open_finding(check, method), rules.limit(check, method)
    reading = entries.reading(check)
    if reading is None and check not in entries.rcd_trips:
        return finding
    undecided = Comparison(CheckResult.INCONCLUSIVE)
    compared = _compared(check, reading, rules, entries, limit) if isinstance(limit, Limit) else undecided
    return replace(
        finding,
        reading=reading.typed if reading else NO_TRIP,
        result=compared.result,
        arithmetic="; ".join(part for part in (finding.arithmetic, compared.reason) if part),
    )


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


def insulation_by_current(own: Finding, leakage: Finding | None, rules: CheckRules, entries: Entries) -> Finding:
    """Let protective-conductor current decide an insulation below its limit, where the book has it so."""
    above = rules.by_current_above
    if above is None or own.result in {CheckResult.PASS, CheckResult.NOT_DONE} or own.limit_low is None:
        return own
    why = f"{own.arithmetic}; heating above {above.shown} kW is decided by protective-conductor current"
    entry = entries.leakage
    if leakage is None or entry is None or not decides(rules.facts, rules.book, entry.method):
        return replace(own, result=CheckResult.INCONCLUSIVE, arithmetic=f"{why}, which is not measured")
    return replace(own, result=leakage.result, arithmetic=f"{why}: {leakage.reading} mA, {leakage.result}")


def _seen(check: Check, rules: CheckRules, entries: Entries) -> Finding:
    unseen, found = rules.open_finding(check), entries.answer(check)
    if found is None:
        return unseen
    good, bad = _SEEN[check]
    result = CheckResult.PASS if found else CheckResult.FAIL
    seen = replace(unseen, reading="ok" if found else "bad", result=result, arithmetic=good if found else bad)
    return _looked_at(seen, rules) if check is Check.VISUAL else seen


def _looked_at(seen: Finding, rules: CheckRules) -> Finding:
    """The visual check of what fails on sight, or of which nobody can say what it is."""
    on_sight = rules.fault_on_sight
    resting = resting_on_sight(rules.facts, on_sight) if on_sight and seen.result is CheckResult.PASS else ()
    if resting:
        return replace(
            seen,
            result=CheckResult.INCONCLUSIVE,
            arithmetic=f"{seen.arithmetic}, but {on_sight} as assumed: {CONFIRM}",
            assumed=resting,
        )
    if on_sight:
        row = rules.book.find("inspection.fails-on-sight")
        cited = row.citation if row else None
        return replace(
            seen,
            result=CheckResult.FAIL,
            arithmetic=on_sight,
            source=cited.line if cited else "",
            basis=cited.basis if cited else "",
        )
    if rules.contradiction and seen.result is CheckResult.PASS:
        why = f"{seen.arithmetic}, but the facts contradict each other: {rules.contradiction}"
        return replace(seen, result=CheckResult.INCONCLUSIVE, arithmetic=why)
    return seen


def _compared(check: Check, reading: Reading | None, rules: CheckRules, entries: Entries, limit: Limit) -> Comparison:
    if reading is None:
        passed = check is Check.RCD_HALF
        return Comparison(CheckResult.PASS if passed else CheckResult.FAIL, "it did not trip")
    if check is Check.EARTH_CONTINUITY and entries.earth and entries.earth.conductor_celsius is not None:
        return _at_reference(reading, entries.earth.conductor_celsius, limit, rules.book)
    if check is Check.INSULATION and entries.insulation:
        found = _at_volts(reading, entries.insulation.volts, rules, limit)
        linked = entries.insulation.lines_linked and rules.facts.phases == 1
        return _NOTHING_TO_LINK if linked and found.result is CheckResult.PASS else found
    if check in INSULATIONS:
        return _at_volts(reading, entries.second_volts.get(check), rules, limit)
    if check is Check.LEAKAGE and entries.leakage:
        return _by_method(entries.leakage, rules, limit)
    return compare(reading, limit)


def _at_reference(reading: Reading, celsius: Decimal, limit: Limit, book: RuleBook) -> Comparison:
    try:
        referred, text = at_reference(reading, celsius, book)
    except InputRefused as refusal:
        return Comparison(CheckResult.INCONCLUSIVE, str(refusal).rstrip("."))
    return _after(text, compare(referred, limit))


def _at_volts(reading: Reading, volts: int | None, rules: CheckRules, limit: Limit) -> Comparison:
    compared = compare(reading, limit)
    accepted = rules.test_volts
    if compared.result is CheckResult.PASS and volts is None and rules.facts.unsuitable_500v:
        return Comparison(CheckResult.INCONCLUSIVE, "500 V is marked unsuitable and the test voltage is not stated")
    if compared.result is CheckResult.PASS and volts is not None and accepted and volts < min(accepted):
        needed = " or ".join(str(each) for each in accepted)
        return Comparison(CheckResult.INCONCLUSIVE, f"measured at {volts} V d.c.: a pass needs {needed} V d.c.")
    return compared


def _by_method(entry: LeakageEntry, rules: CheckRules, limit: Limit) -> Comparison:
    if leakage_method(rules.facts, entry.method) is not LeakageMethod.SUBSTITUTE:
        return compare(entry.reading, limit)
    scaled = scaled_substitute(entry, rules.book)
    if isinstance(scaled, NoLimit):
        return Comparison(CheckResult.INCONCLUSIVE, scaled.reason)
    reading, text = scaled
    return _after(text, compare(reading, limit))


def _after(text: str, comparison: Comparison) -> Comparison:
    return Comparison(comparison.result, "; ".join(part for part in (text, comparison.reason) if part))
