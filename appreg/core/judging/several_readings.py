"""Readings of one kind that stand side by side: half-waves, lines of a three-phase item, contacts; the worst decides."""

import re
from collections.abc import Callable
from decimal import Decimal
from typing import Final

from msgspec.structs import replace

from appreg.core.records.checks import NO_TRIP, Check, EarthEntry, Entries, InsulationEntry, LeakageEntry
from appreg.core.records.findings import Finding
from appreg.core.rules.check_limits import UNIT_OF_CHECK
from appreg.core.rules.rcd_limits import RCD_CHECKS
from appreg.core.rules.second_lines import LINE_OF
from appreg.core.values.outcomes import CheckResult
from appreg.core.values.readings import Reading, parse_reading
from appreg.core.values.text import shown
from appreg.errors import InputRefused

NO_TRIPS: Final = frozenset({NO_TRIP, "no trip", "no"})
"""What may be typed where a residual current device did not trip."""
_BESIDE: Final = re.compile(r"(?<![OoW])/|(?<=[Oo])/(?!\s*[Ll])|(?<=W)/(?!\s*c?m)")
"""The stroke between two readings: neither that of O/L nor that of mW/cm²."""
_WORST_FIRST: Final = (CheckResult.FAIL, CheckResult.INCONCLUSIVE, CheckResult.NOT_DONE, CheckResult.PASS)
_QUOTED: Final = 40
"""Characters of a typed text that an error repeats."""
_ENDLESS: Final = Decimal("Infinity")


def parse_readings(text: str, check: Check) -> tuple[Reading | None, ...]:
    """Read one reading, or several with strokes between them; None: the device did not trip.

    Raises InputRefused where one of them cannot be read.
    """
    parts = _BESIDE.split(text)
    try:
        return tuple(_parsed(part, check) for part in parts)
    except InputRefused as refusal:
        if len(parts) == 1:
            raise
        raise InputRefused(f"In '{shown(text.strip())[:_QUOTED]}': {refusal}") from refusal


def _parsed(text: str, check: Check) -> Reading | None:
    if check in RCD_CHECKS and text.strip().casefold() in NO_TRIPS:
        return None
    return parse_reading(text, UNIT_OF_CHECK[check])


def with_reading(entries: Entries, check: Check, reading: Reading | None) -> Entries:
    """The entries with another reading of a check, measured in the same way."""
    if check in RCD_CHECKS:
        return replace(entries, rcd_trips={**entries.rcd_trips, check: reading})
    return entries if reading is None else _with_figure(entries, check, reading)


def _with_figure(entries: Entries, check: Check, reading: Reading) -> Entries:
    if check in LINE_OF:
        return replace(entries, second={**entries.second, check: reading})
    if check is Check.EARTH_CONTINUITY:
        return replace(entries, earth=replace(entries.earth or EarthEntry(reading=reading), reading=reading))
    if check is Check.INSULATION:
        entry = entries.insulation or InsulationEntry(reading=reading)
        return replace(entries, insulation=replace(entry, reading=reading))
    if check is Check.LEAKAGE:
        return replace(entries, leakage=replace(entries.leakage or LeakageEntry(reading=reading), reading=reading))
    return replace(entries, microwave=reading) if check is Check.MICROWAVE else entries


def with_worst(entries: Entries, check: Check, finding_of: Callable[[Entries], Finding]) -> Entries:
    """The entries with that one of several readings of a check which comes off worst."""
    if check not in entries.several:
        return entries
    own = entries.reading(check)
    choices = dict.fromkeys((*entries.several[check], *(() if own is None else (own,))))
    return min(
        (with_reading(entries, check, choice) for choice in choices),
        key=lambda tried: _rank(tried, check, finding_of(tried)),
    )


def _rank(tried: Entries, check: Check, found: Finding) -> tuple[int, Decimal]:
    """Less is worse: by what it comes to, then by how near the limit it stands or how far beyond it."""
    reading = tried.reading(check)
    value = _ENDLESS if reading is None or reading.value is None else reading.value
    return _WORST_FIRST.index(found.result), -value if found.limit_high is not None else value
