"""Advice beside a verdict: sentences with their source, none of which ever changes the outcome."""

from collections.abc import Collection, Iterator
from typing import Final

from appreg.core.judging.methods import current_caution
from appreg.core.records.appliances import NOT_THE_LANDLORDS, ItemFacts, Owner
from appreg.core.records.checks import Check, Entries, LeakageMethod
from appreg.core.records.findings import Finding
from appreg.core.rules.check_rules import CheckRules
from appreg.core.rules.leakage_limits import leakage_method
from appreg.core.rules.limits import Limit, terse
from appreg.core.rules.rcd_limits import RCD_CHECKS, rcd_limit
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.rule_values import Basis, Citation, cited
from appreg.core.rules.second_lines import INSULATIONS
from appreg.core.values.outcomes import CheckResult

_SAFE_WORK: Final = Citation(source="safe working", basis=Basis.COMMON_PRACTICE)
_KEEP_DEAD: Final = frozenset({Check.VISUAL, Check.EARTH_CONTINUITY, *INSULATIONS})
"""A failure of one of these: energising the item may be dangerous."""


def advice_on(rules: CheckRules, entries: Entries, findings: tuple[Finding, ...]) -> tuple[str, ...]:
    """Every sentence of advice for an item as found, cautions first."""
    facts, book = rules.facts, rules.book
    failed = {finding.check for finding in findings if finding.result is CheckResult.FAIL}
    return (
        *_out_of_scope(facts, book),
        *_belongs_to(facts, failed),
        *_cautions(rules, entries, failed),
        *rules.plug_and_lead_advice,
        *_rcd_advice(facts, entries, book),
        *_ignored(facts, entries, book),
    )


def _out_of_scope(facts: ItemFacts, book: RuleBook) -> Iterator[str]:
    if facts.scope:
        row = book.figures["required.out-of-scope"]
        yield cited(f"{facts.scope}: here it is judged by {' and '.join(row.words)} alone", row.citation)


def _belongs_to(facts: ItemFacts, failed: Collection[Check]) -> Iterator[str]:
    if failed and facts.owner in NOT_THE_LANDLORDS:
        whose = "the tenant" if facts.owner is Owner.TENANT else "somebody else than the landlord"
        yield cited(f"it belongs to {whose}: tell the owner in writing that it failed and must not be used", _SAFE_WORK)


def _cautions(rules: CheckRules, entries: Entries, failed: Collection[Check]) -> Iterator[str]:
    current = entries.earth.test_current if entries.earth else None
    if current and (strong := current_caution(rules.facts, current)):
        yield cited(strong, _SAFE_WORK)
    for check in (each for each in Check if each in failed and each in _KEEP_DEAD):
        yield cited(f"do not energise the item: {check} failed", _SAFE_WORK)
    stop = rules.book.find("inspection.stop-after") if failed else None
    if stop and not {*stop.words}.isdisjoint(failed):
        yield cited(stop.condition, stop.citation)
    if not rules.facts.unsuitable_500v:
        return
    tested = [entries.second_volts.get(check) for check in INSULATIONS if check in entries.second]
    tested += [entries.insulation.volts] if entries.insulation else []
    least = min(rules.test_volts, default=None)
    if any(volts != least for volts in tested):
        yield cited("500 V d.c. is marked unsuitable for this item: electronics may suffer or mislead", _SAFE_WORK)


def _rcd_advice(facts: ItemFacts, entries: Entries, book: RuleBook) -> Iterator[str]:
    rating = None if facts.rcd is None or facts.scope else book.find("rcd.additional.rating")
    if rating is None:
        return
    most = book.figures["rcd.additional.most"]
    at_five = rcd_limit(Check.RCD_5X, facts, book)
    if facts.rcd_rating_ma is None:
        yield cited("RCD rating not known: additional protection is not shown", rating.citation)
    elif facts.rcd_rating_ma > rating.number:
        rated = f"RCD rated {terse(facts.rcd_rating_ma)} mA"
        yield cited(f"{rated} is no additional protection: that takes {rating.shown} mA or less", rating.citation)
    elif isinstance(at_five, Limit) and at_five.high is not None and at_five.high > most.number:
        times = book.figures["rcd.additional.times"].shown
        yield cited(
            f"a delayed RCD is no additional protection: that takes {most.shown} ms at {times} × IΔn", most.citation
        )
    timed = [check for check in RCD_CHECKS if isinstance(rcd_limit(check, facts, book), Limit)]
    left = [times for check, times in RCD_CHECKS.items() if check in timed and check not in entries.rcd_trips]
    if left:
        angles = " and ".join(f"{terse(angle)}°" for angle in book.figures["rcd.additional.angles"].numbers)
        yield cited(
            f"RCD not timed at {', '.join(left)}: test at {angles} and record the longer time",
            book.figures["rcd.additional.angles"].citation,
        )


def _ignored(facts: ItemFacts, entries: Entries, book: RuleBook) -> Iterator[str]:
    """What was stated of the item but has no place in this book, so that nobody thinks it counted."""
    leakage = entries.leakage
    substitute = leakage is not None and leakage_method(facts, leakage.method) is LeakageMethod.SUBSTITUTE
    stated = {
        "double leakage limit": (facts.double_leakage, "leakage.doubling.factor"),
        "mineral-insulated elements": (facts.mineral_insulated, "insulation.mineral.least"),
        "chosen flat earth limit": (facts.flat_earth_limit_ohm is not None, "earth.flat-options"),
        "two-pole symmetric circuit": (
            leakage is not None and substitute and leakage.two_pole_symmetric,
            "leakage.substitute.symmetric-divisor",
        ),
        "rated delay of the RCD": (bool(facts.rcd and facts.rcd_delay_ms), f"rcd.{facts.rcd}.delay-high"),
    }
    for what, (given, key) in stated.items():
        if given and book.find(key) is None:
            yield f"{what} is ignored: rule book {book.id} has no such rule (rule book {book.version})"
    if facts.double_leakage and facts.equipment_type.is_lead and book.find("leakage.doubling.factor"):
        yield f"double leakage limit is ignored: it is not for leads (rule book {book.version})"
