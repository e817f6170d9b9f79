"""The entries of an inspection with something taken away, as the Bench leaves them: what was begun stays asked for."""

from collections.abc import Mapping
from typing import Final

from msgspec.structs import replace

from appreg.core.judging.several_readings import with_reading
from appreg.core.records.checks import Check, Entries
from appreg.core.rules.rcd_limits import RCD_CHECKS
from appreg.core.rules.second_lines import LINE_OF

_FIELDS: Final[Mapping[Check, str]] = {
    Check.VISUAL: "visual",
    Check.EARTH_CONTINUITY: "earth",
    Check.POLARITY: "polarity",
    Check.INSULATION: "insulation",
    Check.LEAKAGE: "leakage",
    Check.FUNCTIONAL: "functional",
    Check.RCD_BUTTON: "rcd_button",
    Check.MICROWAVE: "microwave",
}


def begun_in(entries: Entries) -> dict[Check, int]:
    """The checks of an inspection that were begun, with how many readings of each ever stood side by side."""
    counts = {check: max(entries.begun.get(check, 0), entries.count(check)) for check in Check}
    return {check: count for check, count in counts.items() if count}


def without_check(entries: Entries, check: Check) -> Entries:
    """The entries with a reading or an answer taken away: what was begun stays asked for."""
    several = {each: readings for each, readings in entries.several.items() if each is not check}
    less = replace(entries, begun=begun_in(entries), several=several)
    if check in RCD_CHECKS:
        return replace(less, rcd_trips={each: trip for each, trip in less.rcd_trips.items() if each is not check})
    if check in LINE_OF:
        return replace(less, second={each: reading for each, reading in less.second.items() if each is not check})
    return replace(less, **{_FIELDS[check]: None})


def without_reading(entries: Entries, check: Check, at: int) -> Entries:
    """The entries with one of the readings of a check taken away; the only one takes the check with it."""
    readings = entries.several.get(check, ())
    if len(readings) < 2:
        return without_check(entries, check)
    left = (*readings[:at], *readings[at + 1 :])
    several = {**entries.several, check: left}
    return with_reading(replace(entries, begun=begun_in(entries), several=several), check, left[0])
