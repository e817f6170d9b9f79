"""From readings to findings to the outcome of an inspection."""

from collections.abc import Iterable, Iterator, Mapping
from decimal import Decimal
from typing import Final

from msgspec import Struct, field
from msgspec.structs import replace

from appreg.core.judging.advice import advice_on
from appreg.core.judging.assumed_findings import assumed_finding, needed_only_as
from appreg.core.judging.begun_checks import held_open
from appreg.core.judging.check_findings import CONFIRM, closed_finding, finding_of, insulation_by_current
from appreg.core.judging.doubts import Doubt, doubts_on
from appreg.core.judging.guarded_acceptance import guarded_finding
from appreg.core.judging.instrument_accuracy import InstrumentAccuracy
from appreg.core.judging.left_out import left_out_finding
from appreg.core.judging.several_readings import with_worst
from appreg.core.records.appliances import ApplianceClass, Fact, ItemFacts
from appreg.core.records.checks import Check, Entries, LeakageMethod
from appreg.core.records.findings import Finding as Finding  # noqa: PLC0414 - readers look for it here too
from appreg.core.rules.assumptions import BEHIND, REQUIRING, words_of
from appreg.core.rules.check_rules import CheckRules
from appreg.core.rules.leakage_limits import decides, leakage_method, replaces_insulation
from appreg.core.rules.required_checks import closed_by_failure
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.second_lines import INSULATIONS
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


class Case(Struct, frozen=True, kw_only=True):
    """What is judged: what was entered of an item, under its rules."""

    rules: CheckRules
    guard: InstrumentAccuracy | None
    """By which acceptance is guarded; None where it is not."""
    entries: Entries
    done: frozenset[Check]
    """The checks that anything is entered for."""


def judge(
    facts: ItemFacts,
    entries: Entries,
    book: RuleBook,
    *,
    stated: InstrumentAccuracy = NOTHING_STATED,
    guarded: bool = False,
) -> Judgement:
    """Judge one item against a rule book, once; what is judged at every digit keeps its rules: `judge_item`."""
    return judge_item(CheckRules(facts, book), entries, stated=stated, guarded=guarded)


def judge_item(rules: CheckRules, entries: Entries, *, stated: InstrumentAccuracy, guarded: bool) -> Judgement:
    """Judge one item by its rules; doubt is inconclusive, and only a complete set passes.

    Where acceptance is guarded, or the book asks for that, a pass must clear its limit by the instrument's uncertainty.
    """
    guard = stated if guarded or rules.guards_acceptance else None
    doubts = doubts_on(rules, entries, stated)
    entries = _within_range(_by_stated_method(rules.facts, entries), stated)
    entries = _worst_of(Check.EARTH_CONTINUITY, rules, entries, guard)
    case = Case(rules=_settled_by_earth(rules, entries), guard=guard, entries=entries, done=entries.done)
    required = _still_required(rules, case)
    checks = [check for check in Check if check in required or check in entries.begun or check in case.done]
    for check in [each for each in checks if each in entries.several]:
        case = replace(case, entries=_worst_of(check, case.rules, case.entries, guard))
    own, required = _own_findings(case, checks, required)
    return replace(_come_to(case, own, required), doubts=doubts)


def _own_findings(case: Case, checks: Iterable[Check], required: set[Check]) -> tuple[dict[Check, Finding], set[Check]]:
    """By check what it comes to, before one closes another; and what is required, as it turns out."""
    rules, entries = case.rules, case.entries
    own = {check: _own_finding(check, rules, entries, case.guard) for check in checks}
    if Check.INSULATION in own and rules.by_current_above is not None:
        own[Check.INSULATION] = _by_current(own, rules, entries)
    if_not_so = {check: facts for check, facts in _needed_unless(case).items() if check not in own}
    for check, resting in if_not_so.items():
        own[check] = needed_only_as(assumed_finding(check, rules, entries), rules.facts, resting)
    required = required | if_not_so.keys()
    for check in entries.taken_away & own.keys():
        own[check] = held_open(own[check], entries)
    asked = {*required, *entries.begun}
    return own | _left_out(own, asked, case), required


def _come_to(case: Case, own: Mapping[Check, Finding], required: set[Check]) -> Judgement:
    """What the findings come to together: what a failure closes, what is missing, what is to be said."""
    rules, entries = case.rules, case.entries
    checks = [check for check in Check if check in own]
    closed = closed_by_failure([own[check] for check in checks], rules.book, method_of(rules.facts, entries))
    stands = {check: each if each.left_out else _closed(each, closed, rules.book) for check, each in own.items()}
    findings = tuple(_with_readings(stands[check], entries) for check in checks)
    asked = {*required, *entries.begun}
    missing = tuple(
        check
        for check in checks
        if check in asked and check not in closed and not own[check].left_out
        if not (_is_met(check, case) if check in required else check in case.done)
    )
    return Judgement(
        outcome=_outcome(findings, missing),
        findings=findings,
        missing=missing,
        advice=(*advice_on(rules, entries, findings), *_idle_reasons(entries, own)),
        closed=closed,
        entries=entries,
    )


def _closed(finding: Finding, closed: Mapping[Check, Check], book: RuleBook) -> Finding:
    return closed_finding(finding, book, closed[finding.check]) if finding.check in closed else finding


def _with_readings(finding: Finding, entries: Entries) -> Finding:
    """The finding with all readings that stand side by side."""
    several = finding.check in entries.several
    return replace(finding, readings=entries.readings_shown(finding.check)) if several else finding


def _own_finding(check: Check, rules: CheckRules, entries: Entries, guard: InstrumentAccuracy | None) -> Finding:
    """What a check comes to by itself, guarded by the instrument's accuracy where that is given."""
    finding = (assumed_finding if rules.facts.assumed else finding_of)(check, rules, entries)
    return finding if guard is None else guarded_finding(finding, entries, rules.book, guard)


def _worst_of(check: Check, rules: CheckRules, entries: Entries, guard: InstrumentAccuracy | None) -> Entries:
    """The entries with the worst of the readings of a check that stand side by side."""
    if check not in entries.several:
        return entries
    return with_worst(entries, check, lambda tried: _own_finding(check, rules, tried, guard))


def _within_range(entries: Entries, stated: InstrumentAccuracy) -> Entries:
    """Insulation beyond the range of an instrument whose range is known: at least its top."""
    known = INSULATIONS if stated.ranges else ()
    tops = {check: top for check in known if (top := stated.top_of(check)) is not None}
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


def _is_met(check: Check, case: Case) -> bool:
    """Tell whether a required check was done, leakage by a method that says enough."""
    leakage = case.entries.leakage
    if check is Check.LEAKAGE and leakage is not None:
        return all(decides(form.facts, form.book, leakage.method) for form in case.rules.forms((Fact.CLASS,)))
    return check in case.done


def _by_stated_method(facts: ItemFacts, entries: Entries) -> Entries:
    """Leakage measured by the usual method of the class as it stands: another class does not change what was done."""
    leakage = entries.leakage
    if leakage is None or leakage.method is not None or not facts.assumed:
        return entries
    return replace(entries, leakage=replace(leakage, method=leakage_method(facts, None)))


def _settled_by_earth(rules: CheckRules, entries: Entries) -> CheckRules:
    """A good reading from the earth pin to touchable metal has measured that an item is Class I, as was assumed."""
    if Fact.CLASS not in rules.facts.assumed or rules.facts.appliance_class is not ApplianceClass.CLASS_I:
        return rules
    earth = assumed_finding(Check.EARTH_CONTINUITY, rules, entries)
    return rules.without((Fact.CLASS,)) if earth.result is CheckResult.PASS else rules


def _needed_unless(case: Case) -> dict[Check, tuple[Fact, ...]]:
    """Checks that an item needs if an assumed fact is not so, with those facts."""
    needed: dict[Check, tuple[Fact, ...]] = {}
    if not case.rules.facts.assumed:
        return needed
    for fact in REQUIRING:
        for form in case.rules.forms((fact,))[1:]:
            for check in _still_required(form, case):
                needed[check] = tuple(dict.fromkeys((*needed.get(check, ()), fact)))
    together = {each for form in case.rules.forms(REQUIRING)[1:] for each in _still_required(form, case)}
    both = tuple(fact for fact in REQUIRING if fact in case.rules.facts.assumed)
    return {**{check: both for check in together if check not in needed}, **needed}


def _by_current(own: Mapping[Check, Finding], rules: CheckRules, entries: Entries) -> Finding:
    """Insulation decided by current where the book has it so; an assumed power or class decides no pass."""
    insulation, leakage = own[Check.INSULATION], own.get(Check.LEAKAGE)
    decided = insulation_by_current(insulation, leakage, rules, entries)
    resting = tuple(fact for fact in BEHIND[Check.INSULATION] if fact in rules.facts.assumed)
    if decided.result is CheckResult.PASS and insulation.result is not CheckResult.PASS and resting:
        why = f"{decided.arithmetic}; passes only if {words_of(rules.facts, resting)}: {CONFIRM}"
        return replace(decided, result=CheckResult.INCONCLUSIVE, arithmetic=why, assumed=resting)
    return decided


def _still_required(rules: CheckRules, case: Case) -> set[Check]:
    """The required checks, without the one of insulation and leakage that the other has taken the place of."""
    required = set(rules.required)
    for pair in rules.exchangeable:
        if pair & case.done:
            required -= pair
    both = {Check.INSULATION, Check.LEAKAGE}
    if both <= required or not both & required or not rules.methods_instead:
        return required
    leakage = case.entries.leakage
    accepted = leakage is not None and replaces_insulation(rules.facts, rules.book, leakage.method)
    if Check.INSULATION in case.done or accepted:
        return required - both
    return (required - both) | {Check.INSULATION} if leakage is not None else required


def _left_out(own: Mapping[Check, Finding], asked: set[Check], case: Case) -> dict[Check, Finding]:
    """What is asked for and left out with a reason; of a check that was done the reading stands, not the reason."""
    facts, entries, book = case.rules.facts, case.entries, case.rules.book
    return {
        check: left_out_finding(own[check], reason, facts, entries, book, insulation=own.get(Check.INSULATION))
        for check, reason in entries.left_out.items()
        if reason and check in asked and check not in case.done
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
