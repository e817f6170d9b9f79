"""From readings to findings to the outcome of an inspection."""

from collections.abc import Iterable, Iterator, Mapping
from decimal import Decimal
from typing import Final

from msgspec import Struct, field
from msgspec.structs import replace

from appreg.core.judging.advice import advice_on
from appreg.core.judging.assumed_findings import assumed_finding, needed_only_as
from appreg.core.judging.begun_checks import held_open
from appreg.core.judging.check_findings import CONFIRM, closed_finding, insulation_by_current, is_entered
from appreg.core.judging.doubts import Doubt, doubts_on
from appreg.core.judging.guarded_acceptance import asks_for_guard, guarded_finding
from appreg.core.judging.instrument_accuracy import InstrumentAccuracy
from appreg.core.judging.left_out import left_out_finding
from appreg.core.judging.several_readings import readings_shown, with_worst
from appreg.core.records.appliances import ApplianceClass, Fact, ItemFacts
from appreg.core.records.checks import Check, Entries, LeakageMethod
from appreg.core.records.findings import Finding as Finding  # noqa: PLC0414 - readers look for it here too
from appreg.core.rules.assumptions import BEHIND, REQUIRING, variants, without, words_of
from appreg.core.rules.leakage_limits import decides, leakage_method, replaces_insulation
from appreg.core.rules.required_checks import closed_by_failure, methods_instead, required_checks
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.second_lines import INSULATIONS, exchangeable
from appreg.core.values.outcomes import CheckResult, Outcome
from appreg.core.values.readings import Reading

NOTHING_STATED: Final = InstrumentAccuracy()
"""The accuracy of an instrument that states none."""


class Judgement(Struct, frozen=True, kw_only=True):
    """What an inspection came to."""

    outcome: Outcome
    findings: tuple[Finding, ...]
    """Every check that is required or was done, in the order of an inspection."""
    missing: tuple[Check, ...]
    """Required checks that were not done and that no failure closed."""
    advice: tuple[str, ...]
    """Sentences; advice never changes the outcome."""
    doubts: tuple[Doubt, ...] = ()
    """What speaks against a reading; `judge` tells it, an inspection passes on none that is not confirmed."""
    closed: Mapping[Check, Check] = field(default_factory=dict)
    """By check that an earlier failure closes, asked of the item or not: the check that failed."""
    entries: Entries = field(default_factory=Entries)
    """What was judged: of several readings of a check the worst."""

    @property
    def left_out(self) -> Mapping[Check, str]:
        """By check that is left out as the book lets it be: the reason; a pass is limited by it."""
        return {each.check: each.left_out for each in self.findings if each.left_out}

    @property
    def unconfirmed(self) -> tuple[Fact, ...]:
        """The assumed facts that stand between this and a pass."""
        resting = {fact for each in self.findings if each.result is not CheckResult.PASS for fact in each.assumed}
        return tuple(fact for fact in Fact if fact in resting)


def judge(
    facts: ItemFacts,
    entries: Entries,
    book: RuleBook,
    *,
    stated: InstrumentAccuracy = NOTHING_STATED,
    guarded: bool = False,
) -> Judgement:
    """Judge one item against a rule book; doubt is inconclusive, and only a complete set passes.

    Where acceptance is guarded, or the book asks for that, a pass must clear its limit by the instrument's uncertainty.
    """
    guard = stated if guarded or asks_for_guard(book) else None
    doubts = doubts_on(facts, entries, book, stated)
    entries = _within_range(_by_stated_method(facts, entries), stated)
    entries = _worst_of(Check.EARTH_CONTINUITY, facts, entries, book, guard)
    required = _still_required(facts, entries, book)
    asked = {*required, *entries.begun}
    checks = [check for check in Check if check in asked or is_entered(check, entries)]
    facts = _settled_by_earth(facts, entries, book)
    for check in [each for each in checks if each in entries.several]:
        entries = _worst_of(check, facts, entries, book, guard)
    own = {check: _own_finding(check, facts, entries, book, guard) for check in checks}
    if Check.INSULATION in own:
        own[Check.INSULATION] = _by_current(own, facts, entries, book)
    for check, resting in _needed_unless(facts, entries, book).items():
        if check not in own:
            own[check] = needed_only_as(assumed_finding(check, facts, entries, book), facts, resting)
            required.add(check)
            asked.add(check)
    for check in own.keys() & entries.begun.keys():
        own[check] = held_open(own[check], entries)
    own |= _left_out(own, asked, facts, entries, book)
    checks = [check for check in Check if check in own]
    closed = closed_by_failure([own[check] for check in checks], book, method_of(facts, entries))
    for check in own.keys() & entries.several.keys():
        own[check] = replace(own[check], readings=readings_shown(entries, check))
    findings = tuple(
        closed_finding(own[check], book, closed[check]) if check in closed and not own[check].left_out else own[check]
        for check in checks
    )
    missing = tuple(
        check
        for check in checks
        if check in asked and check not in closed and not own[check].left_out
        if not (_is_met(check, facts, entries, book) if check in required else is_entered(check, entries))
    )
    return Judgement(
        outcome=_outcome(findings, missing),
        findings=findings,
        missing=missing,
        advice=(*advice_on(facts, entries, findings, book), *_idle_reasons(entries, own)),
        doubts=doubts,
        closed=closed,
        entries=entries,
    )


def _own_finding(
    check: Check, facts: ItemFacts, entries: Entries, book: RuleBook, guard: InstrumentAccuracy | None
) -> Finding:
    """What a check comes to by itself, guarded by the instrument's accuracy where that is given."""
    finding = assumed_finding(check, facts, entries, book)
    return finding if guard is None else guarded_finding(finding, entries, book, guard)


def _worst_of(
    check: Check, facts: ItemFacts, entries: Entries, book: RuleBook, guard: InstrumentAccuracy | None
) -> Entries:
    """The entries with the worst of the readings of a check that stand side by side."""
    return with_worst(entries, check, lambda tried: _own_finding(check, facts, tried, book, guard))


def _within_range(entries: Entries, stated: InstrumentAccuracy) -> Entries:
    """Insulation beyond the range of an instrument whose range is known: at least its top."""
    tops = {check: top for check in INSULATIONS if (top := stated.top_of(check)) is not None}
    if not tops:
        return entries
    insulation, top = entries.insulation, tops.get(Check.INSULATION)
    if insulation is not None and top is not None:
        insulation = replace(insulation, reading=_up_to(top, insulation.reading))
    several = {
        check: tuple(_up_to(tops[check], each) if check in tops and each else each for each in readings)
        for check, readings in entries.several.items()
    }
    second = {
        check: _up_to(tops[check], reading) if check in tops else reading for check, reading in entries.second.items()
    }
    return replace(entries, insulation=insulation, several=several, second=second)


def _up_to(top: Decimal, reading: Reading) -> Reading:
    return reading if reading.value is not None else replace(reading, value=top)


def method_of(facts: ItemFacts, entries: Entries) -> LeakageMethod | None:
    """How leakage was measured; None where it was not."""
    return leakage_method(facts, entries.leakage.method) if entries.leakage else None


def _is_met(check: Check, facts: ItemFacts, entries: Entries, book: RuleBook) -> bool:
    """Tell whether a required check was done, leakage by a method that says enough."""
    if check is Check.LEAKAGE and entries.leakage is not None:
        return all(decides(form, book, entries.leakage.method) for form in variants(facts, (Fact.CLASS,), book))
    return is_entered(check, entries)


def _by_stated_method(facts: ItemFacts, entries: Entries) -> Entries:
    """Leakage measured by the usual method of the class as it stands: another class does not change what was done."""
    leakage = entries.leakage
    if leakage is None or leakage.method is not None or not facts.assumed:
        return entries
    return replace(entries, leakage=replace(leakage, method=leakage_method(facts, None)))


def _settled_by_earth(facts: ItemFacts, entries: Entries, book: RuleBook) -> ItemFacts:
    """A good reading from the earth pin to touchable metal has measured that an item is Class I, as was assumed."""
    if Fact.CLASS not in facts.assumed or facts.appliance_class is not ApplianceClass.CLASS_I:
        return facts
    earth = assumed_finding(Check.EARTH_CONTINUITY, facts, entries, book)
    return without(facts, (Fact.CLASS,)) if earth.result is CheckResult.PASS else facts


def _needed_unless(facts: ItemFacts, entries: Entries, book: RuleBook) -> dict[Check, tuple[Fact, ...]]:
    """Checks that an item needs if an assumed fact is not so, with those facts."""
    needed: dict[Check, tuple[Fact, ...]] = {}
    if not facts.assumed:
        return needed
    for fact in REQUIRING:
        for form in variants(facts, (fact,), book)[1:]:
            for check in _still_required(form, entries, book):
                needed[check] = tuple(dict.fromkeys((*needed.get(check, ()), fact)))
    together = {each for form in variants(facts, REQUIRING, book)[1:] for each in _still_required(form, entries, book)}
    both = tuple(fact for fact in REQUIRING if fact in facts.assumed)
    return {**{check: both for check in together if check not in needed}, **needed}


def _by_current(own: Mapping[Check, Finding], facts: ItemFacts, entries: Entries, book: RuleBook) -> Finding:
    """Insulation decided by current where the book has it so; an assumed power or class decides no pass."""
    insulation, leakage = own[Check.INSULATION], own.get(Check.LEAKAGE)
    decided = insulation_by_current(insulation, leakage, facts, entries, book)
    resting = tuple(fact for fact in BEHIND[Check.INSULATION] if fact in facts.assumed)
    if decided.result is CheckResult.PASS and insulation.result is not CheckResult.PASS and resting:
        why = f"{decided.arithmetic}; passes only if {words_of(facts, resting)}: {CONFIRM}"
        return replace(decided, result=CheckResult.INCONCLUSIVE, arithmetic=why, assumed=resting)
    return decided


def _still_required(facts: ItemFacts, entries: Entries, book: RuleBook) -> set[Check]:
    """The required checks, without the one of insulation and leakage that the other has taken the place of."""
    required = set(required_checks(facts, book))
    for pair in exchangeable(facts, book):
        if any(is_entered(check, entries) for check in pair):
            required -= pair
    both = {Check.INSULATION, Check.LEAKAGE}
    if both <= required or not both & required or not methods_instead(facts, book):
        return required
    leakage = entries.leakage
    accepted = leakage is not None and replaces_insulation(facts, book, leakage.method)
    if entries.insulation is not None or accepted:
        return required - both
    return (required - both) | {Check.INSULATION} if leakage is not None else required


def _left_out(
    own: Mapping[Check, Finding], asked: set[Check], facts: ItemFacts, entries: Entries, book: RuleBook
) -> dict[Check, Finding]:
    """What is asked for and left out with a reason; of a check that was done the reading stands, not the reason."""
    return {
        check: left_out_finding(own[check], reason, facts, entries, book, insulation=own.get(Check.INSULATION))
        for check, reason in entries.left_out.items()
        if reason and check in asked and not is_entered(check, entries)
    }


def _idle_reasons(entries: Entries, own: Mapping[Check, Finding]) -> Iterator[str]:
    """Say where a reason is given for leaving out what nobody asks for."""
    for check in entries.left_out:
        if check not in own:
            yield f"{check} is not asked of such an item: nothing had to be left out"


def _outcome(findings: Iterable[Finding], missing: tuple[Check, ...]) -> Outcome:
    results = {finding.result for finding in findings if not finding.left_out}
    if CheckResult.FAIL in results:
        return Outcome.FAIL
    return Outcome.PASS if results == {CheckResult.PASS} and not missing else Outcome.INCOMPLETE
