"""Checks once begun: what was measured or answered, or has failed before, is asked for, whatever is taken away."""

from collections.abc import Iterable, Mapping
from typing import Final

from appreg.core.appliances import ItemFacts
from appreg.core.check_findings import is_entered
from appreg.core.check_limits import limit_of
from appreg.core.checks import Check, Entries
from appreg.core.findings import Finding
from appreg.core.lean_dataclasses import replace
from appreg.core.limits import Limit
from appreg.core.outcomes import CheckResult
from appreg.core.rcd_limits import RCD_CHECKS
from appreg.core.required_checks import required_checks
from appreg.core.rule_book import RuleBook
from appreg.core.second_lines import LINE_OF, second_lines
from appreg.core.several_readings import with_reading

BEGUN: Final = "once begun, or failed before, it is asked for until it is taken again"
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


def count_of(check: Check, entries: Entries) -> int:
    """How many readings or answers of a check stand side by side; 0 where it is not done."""
    return max(len(entries.several.get(check, ())), int(is_entered(check, entries)))


def begun_in(entries: Entries) -> dict[Check, int]:
    """The checks of an inspection that were begun, with how many readings of each ever stood side by side."""
    counts = {check: max(entries.begun.get(check, 0), count_of(check, entries)) for check in Check}
    return {check: count for check, count in counts.items() if count}


def without_check(entries: Entries, check: Check) -> Entries:
    """The entries with a reading or an answer taken away: what was begun stays asked for."""
    several = {each: readings for each, readings in entries.several.items() if each is not check}
    less = replace(entries, begun=begun_in(entries), several=several)
    if check in RCD_CHECKS:
        return replace(less, rcd_trips={each: trip for each, trip in less.rcd_trips.items() if each is not check})
    if check in LINE_OF:
        return replace(less, second={each: reading for each, reading in less.second.items() if each is not check})
    return replace(less, **{_FIELDS[check]: None})  # type: ignore[arg-type]


def without_reading(entries: Entries, check: Check, at: int) -> Entries:
    """The entries with one of the readings of a check taken away; the only one takes the check with it."""
    readings = entries.several.get(check, ())
    if len(readings) < 2:  # noqa: PLR2004 - a pair at least stands side by side
        return without_check(entries, check)
    left = (*readings[:at], *readings[at + 1 :])
    several = {**entries.several, check: left}
    return with_reading(replace(entries, begun=begun_in(entries), several=several), check, left[0])


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
    once, now = entries.begun.get(finding.check, 0), count_of(finding.check, entries)
    if now >= once:
        return finding
    if not now:
        why = "; ".join(part for part in (finding.arithmetic, BEGUN) if part and part != "not done")
        return replace(finding, arithmetic=why)
    if finding.result is not CheckResult.PASS:
        return finding
    why = f"{finding.arithmetic}; {once} readings stood side by side before, now {now}: take all again"
    return replace(finding, result=CheckResult.INCONCLUSIVE, arithmetic=why)
