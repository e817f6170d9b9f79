"""Words for what records hold: checks, limits, readings, plates and cords."""

from datetime import date
from decimal import Decimal
from typing import Final

from appreg.core.judging.methods import kept_readings, left_out_because
from appreg.core.judging.uncertainty import COVERAGE_FACTOR, Zone
from appreg.core.records.appliances import Owner, ServiceState
from appreg.core.records.checks import Check
from appreg.core.records.kept_records import Appliance, FindingRecord, Instrument, Visit
from appreg.core.rules.item_facts import assumed_in, measured_in, metal_and_earth_words
from appreg.core.values.dates_in_words import DateForm, date_words
from appreg.core.values.outcomes import CheckResult
from appreg.paper.documents.item_lines import InspectedItem, LastTime

CHECK_WORDS: Final = {
    Check.VISUAL: "visual inspection",
    Check.EARTH_CONTINUITY: "earth continuity",
    Check.POLARITY: "polarity",
    Check.INSULATION: "insulation resistance",
    Check.LEAKAGE: "leakage current",
    Check.UNEARTHED_INSULATION: "insulation to metal not earthed",
    Check.UNEARTHED_CURRENT: "touch current of metal not earthed",
    Check.FUNCTIONAL_EARTH_INSULATION: "insulation to functional earth",
    Check.FUNCTIONAL_EARTH_CURRENT: "current in functional earth",
    Check.FUNCTIONAL: "functional check",
    Check.RCD_HALF: "RCD at ½ × IΔn",
    Check.RCD_1X: "RCD at 1 × IΔn",
    Check.RCD_2X: "RCD at 2 × IΔn",
    Check.RCD_5X: "RCD at 5 × IΔn",
    Check.RCD_BUTTON: "RCD test button",
    Check.MICROWAVE: "microwave leakage",
}
_DOUBT_PLACES: Final = 4
_CLOSE: Final = frozenset(zone.value for zone in Zone if zone.is_close)
_WORDS_BY_NAME: Final = {check.value: words for check, words in CHECK_WORDS.items()}


def check_words(name: str) -> str:
    """Return a check's name in words; a name that is not known stands as it is."""
    return _WORDS_BY_NAME.get(name, name)


def plain(number: Decimal) -> str:
    """Write a decimal without exponent or trailing zeros."""
    text = format(number, "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def limit_words(finding: FindingRecord) -> str:
    """Write a limit as applied: ≤ 0.1208 Ω, ≥ 1 MΩ, 130 to 500 ms."""
    low, high = finding.limit_low, finding.limit_high
    if low is not None and high is not None:
        return f"{plain(low)} to {plain(high)} {finding.unit}".rstrip()
    if high is not None:
        return f"{'<' if finding.comparison == '<' else '≤'} {plain(high)} {finding.unit}".rstrip()
    if low is not None:
        return f"{'>' if finding.comparison == '>' else '≥'} {plain(low)} {finding.unit}".rstrip()
    return ""


def reading_words(finding: FindingRecord) -> str:
    """Write a reading as typed, with its unit where the person typed only a figure."""
    typed = kept_readings(finding.method, finding.reading)
    if not typed:
        return "–"
    return f"{typed} {finding.unit}" if finding.unit and typed[-1] in "0123456789" else typed


def finding_words(finding: FindingRecord) -> str:
    """Write what a check came to."""
    if left_out_because(finding.method):
        return "left out"
    return finding.finding.replace("-", " ")


def doubt_words(finding: FindingRecord) -> str:
    """Write the expanded uncertainty of a reading, and that its limit lies within it; empty where it is not known."""
    if finding.uncertainty is None:
        return ""
    close = "close to the limit: " if finding.zone in _CLOSE else ""
    return f"{close}U {plain(round(finding.uncertainty, _DOUBT_PLACES))} {finding.unit} (k = {COVERAGE_FACTOR})"


def class_words(item: Appliance) -> str:
    """Write class and type: Class I · portable, and what gives it a second line."""
    parts = (item.appliance_class.label, item.equipment_type.label, metal_and_earth_words(item))
    return " · ".join(part for part in parts if part)


def plate_words(item: Appliance) -> str:
    """Write make, model and serial number."""
    serial = f"serial {item.serial}" if item.serial else ""
    return " · ".join(part for part in (" ".join(p for p in (item.make, item.model) if p), serial) if part)


def cord_words(item: Appliance) -> str:
    """Write cord, fuse and power: cord 0.75 mm² × 0.8 m · fuse 13 A · 2.2 kW."""
    parts = []
    if item.cord_csa_mm2 is not None and item.cord_length_m is not None:
        parts.append(f"cord {plain(item.cord_csa_mm2)} mm² × {plain(item.cord_length_m)} m")
    if item.fuse_a is not None:
        parts.append(f"fuse {plain(item.fuse_a)} A")
    if item.power_w is not None:
        kilo = item.power_w >= 1000  # noqa: PLR2004 - watts in a kilowatt
        parts.append(f"{plain(Decimal(item.power_w) / 1000)} kW" if kilo else f"{item.power_w} W")
    return " · ".join(parts)


def assumed_words(item: InspectedItem) -> str:
    """Write what was taken from the category when the inspection was judged: assumed: cord-size, cord-length."""
    assumed = assumed_in(item.inspection.item_facts) if item.inspection is not None else ()
    return (
        f"assumed, not read from the item: {', '.join(word.replace('-', ' ') for word in assumed)}" if assumed else ""
    )


def measured_words(item: InspectedItem) -> str:
    """Write what had been measured on the item when the inspection was judged; empty where nothing."""
    measured = measured_in(item.inspection.item_facts) if item.inspection is not None else ()
    return f"measured on the item: {', '.join(word.replace('-', ' ') for word in measured)}" if measured else ""


_OWNERS: Final = {
    Owner.LANDLORD: "supplied by the landlord",
    Owner.TENANT: "belongs to the tenant",
    Owner.OTHER: "belongs to another",
}


def owner_words(item: Appliance) -> str:
    """Write whose an item is, by name where that is known; empty where nobody has said."""
    if item.owner is None:
        return f"belongs to {item.owner_name}" if item.owner_name else ""
    return f"{_OWNERS[item.owner]}: {item.owner_name}" if item.owner_name else _OWNERS[item.owner]


def failing_words(item: InspectedItem) -> str:
    """Write why an item failed: each failed check with its reading and limit."""
    return "; ".join(_with_limit(finding) for finding in item.findings if finding.finding == CheckResult.FAIL)


def _with_limit(finding: FindingRecord) -> str:
    reading, limit = reading_words(finding), limit_words(finding)
    words = f"{check_words(finding.check_name)} {reading}".strip()
    words += f", limit {limit}" if limit else ""
    words += f", {doubt_words(finding)}" if finding.zone in _CLOSE else ""
    return f"{words} ({finding.remark})" if finding.remark else words


def open_words(item: InspectedItem) -> str:
    """Write why an inspection is incomplete: what was not done, and what proves neither pass nor fail."""
    missing = item.inspection.missing if item.inspection is not None else ()
    unclear = [_with_limit(finding) for finding in item.findings if finding.finding == CheckResult.INCONCLUSIVE]
    parts = [f"not done: {', '.join(map(check_words, missing))}"] if missing else []
    parts += [f"neither pass nor fail: {'; '.join(unclear)}"] if unclear else []
    return "; ".join(parts)


def limited_words(item: InspectedItem) -> str:
    """Write what an inspection left out and why: limited: earth continuity left out (no earthed metal); else empty."""
    parts = [
        f"{check_words(each.check_name)} left out ({why})"
        for each in item.findings
        if (why := left_out_because(each.method))
    ]
    return f"limited: {'; '.join(parts)}" if parts else ""


LOOKED_AT: Final = "looked at, not tested"
"""Of an inspection that was a formal visual inspection alone."""
NEXT_WORDS: Final = {"visual": "next formal visual inspection", "test": "next inspection and test"}
"""What falls due, in full."""


def last_words(item: InspectedItem) -> list[str]:
    """Write when an item was last tested and last looked at, by whom and with which result, as far as the head does not say it."""
    shown = item.inspection
    if shown is None:
        return []
    said = []
    if item.last_test is None:
        said += ["never tested"] if item.only_looked and item.last_look is not None else []
    elif item.last_test.inspection.uid != shown.uid:
        said.append(f"last test {_time_words(item.last_test, item.dates)}")
    if item.last_look is not None and item.last_look.inspection.uid != shown.uid:
        said.append(f"last look {_time_words(item.last_look, item.dates)}")
    return said


def _time_words(last: LastTime, dates: DateForm) -> str:
    return f"{date_words(last.inspection.date, dates)}, {last.person}: {last.inspection.outcome}"


def state_words(item: Appliance) -> str:
    """Write the service state where it is not the usual one."""
    return "" if item.state is ServiceState.IN_SERVICE else item.state.value


def instrument_words(instrument: Instrument) -> str:
    """Write an instrument's name and serial number."""
    return f"{instrument.name}, serial {instrument.serial}"


def calibration_lapsed(instrument: Instrument, on: date) -> bool:
    """Tell whether an instrument's calibration had lapsed on a day; its last day still counts."""
    return instrument.calibration_due is not None and instrument.calibration_due < on


def calibration_words(instrument: Instrument, on: date, dates: DateForm = DateForm.WORDS) -> str:
    """Write when an instrument's calibration falls due, and that it had lapsed on a day."""
    due = instrument.calibration_due
    if due is None:
        return "calibration date not recorded"
    return f"calibration {'LAPSED on' if calibration_lapsed(instrument, on) else 'due'} {date_words(due, dates)}"


def check_of_the_day(visit: Visit) -> str:
    """Write how the instrument was checked on the day of a visit, and where that is not recorded."""
    return (
        f"checked on the day: {visit.instrument_check}" if visit.instrument_check else "check of the day not recorded"
    )
