"""The finding of a check where facts behind it are assumed: the strictest limit holds, and only what meets it passes."""

from collections.abc import Sequence
from decimal import Decimal

from msgspec.structs import replace

from appreg.core.judging.check_findings import CONFIRM, finding_of
from appreg.core.records.appliances import Fact, ItemFacts
from appreg.core.records.checks import Check, Entries
from appreg.core.records.findings import Finding
from appreg.core.rules.assumptions import BEHIND, USUAL_VOLTS, words_of
from appreg.core.rules.check_rules import CheckRules
from appreg.core.values.outcomes import CheckResult


def assumed_finding(check: Check, rules: CheckRules, entries: Entries) -> Finding:
    """Judge one check by itself; a pass that rests on an assumed fact is inconclusive and says so."""
    every = _every_finding(check, rules, entries)
    own = every[0]
    resting = _resting(check, rules, entries, every) if len(every) > 1 else ()
    if not resting:
        return own
    strict = _strictest(every)
    words = words_of(rules.facts, resting)
    if own.result is CheckResult.PASS and any(each.result is not CheckResult.PASS for each in every):
        arithmetic = f"{strict.arithmetic}; passes only if {words}: {CONFIRM}"
        return replace(strict, result=CheckResult.INCONCLUSIVE, arithmetic=arithmetic, assumed=resting)
    arithmetic = f"{strict.arithmetic}; assumed: {words}"
    return replace(strict, result=own.result, arithmetic=arithmetic, assumed=resting)


def needed_only_as(finding: Finding, facts: ItemFacts, resting: Sequence[Fact]) -> Finding:
    """A check that the item needs unless it is what it is assumed to be."""
    said = f"needed unless {words_of(facts, resting)}: {CONFIRM}"
    arithmetic = "; ".join(part for part in (finding.arithmetic, said) if part)
    return replace(finding, arithmetic=arithmetic, assumed=tuple(resting))


def _every_finding(check: Check, rules: CheckRules, entries: Entries) -> list[Finding]:
    """What the check comes to for everything the item could be, as it stands first."""
    if check not in BEHIND or not rules.facts.assumed:
        return [finding_of(check, rules, entries)]
    forms = rules.forms(BEHIND[check])
    found = [finding_of(check, form, entries) for form in forms]
    leakage = entries.leakage
    if check is Check.LEAKAGE and Fact.VOLTAGE in rules.facts.assumed and leakage is not None and leakage.rated_volts:
        volts = max(leakage.rated_volts, Decimal(USUAL_VOLTS))
        higher = replace(entries, leakage=replace(leakage, rated_volts=volts))
        found += [finding_of(check, form, higher) for form in forms]
    return list(dict.fromkeys(found))


def _strictest(every: Sequence[Finding]) -> Finding:
    """The first finding with the tightest end on either side of the limit."""
    own = every[0]
    highs = [each for each in every if each.limit_high is not None]
    lows = [each for each in every if each.limit_low is not None]
    by_high = min(highs, key=lambda each: each.limit_high or Decimal(0)) if highs else None
    by_low = max(lows, key=lambda each: each.limit_low or Decimal(0)) if lows else None
    base = by_high or by_low
    if base is None:
        return own
    low = by_low.limit_low if by_low else None
    comparison = "between" if base.limit_high is not None and low is not None else base.comparison
    return replace(base, limit_low=low, comparison=comparison)


def _resting(check: Check, rules: CheckRules, entries: Entries, every: Sequence[Finding]) -> tuple[Fact, ...]:
    """The assumed facts that make the difference, by themselves or only together."""
    behind = [fact for fact in BEHIND[check] if fact in rules.facts.assumed]
    alone = []
    for fact in behind:
        only = rules.assuming((fact,))
        if any(_is_stricter(each, every[0]) for each in _every_finding(check, only, entries)):
            alone.append(fact)
    return tuple(alone) or (tuple(behind) if any(_is_stricter(each, every[0]) for each in every) else ())


def _is_stricter(one: Finding, own: Finding) -> bool:
    """Tell whether a finding asks for more than the item's own, or does not grant its pass."""
    high = one.limit_high is not None and (own.limit_high is None or one.limit_high < own.limit_high)
    low = one.limit_low is not None and (own.limit_low is None or one.limit_low > own.limit_low)
    return high or low or (own.result is CheckResult.PASS and one.result is not CheckResult.PASS)
