"""From readings to findings to the outcome of an inspection."""

from collections.abc import Iterable
from typing import Final

from appreg.core.advice import advice_on
from appreg.core.appliances import ItemFacts
from appreg.core.check_findings import closed_finding, finding_of, insulation_by_current, is_entered
from appreg.core.checks import Check, Entries
from appreg.core.findings import Finding as Finding  # noqa: PLC0414 - readers look for it here too
from appreg.core.guarded_acceptance import asks_for_guard, guarded_finding
from appreg.core.instrument_accuracy import InstrumentAccuracy
from appreg.core.leakage_limits import replaces_insulation
from appreg.core.lean_dataclasses import dataclass
from appreg.core.outcomes import CheckResult, Outcome
from appreg.core.required_checks import required_checks
from appreg.core.rule_book import RuleBook

NOTHING_STATED: Final = InstrumentAccuracy()
"""The accuracy of an instrument that states none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """What an inspection came to."""

    outcome: Outcome
    findings: tuple[Finding, ...]
    """Every check that is required or was done, in the order of an inspection."""
    missing: tuple[Check, ...]
    """Required checks that were not done and that no failure closed."""
    advice: tuple[str, ...]
    """Sentences; advice never changes the outcome."""


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
    required = _still_required(facts, entries, book)
    checks = [check for check in Check if check in required or is_entered(check, entries)]
    own = {check: finding_of(check, facts, entries, book) for check in checks}
    if guarded or asks_for_guard(book):
        own = {check: guarded_finding(finding, entries, book, stated) for check, finding in own.items()}
    if Check.INSULATION in own:
        own[Check.INSULATION] = insulation_by_current(
            own[Check.INSULATION], own.get(Check.LEAKAGE), facts, entries, book
        )
    stop = _stopped_by(own.values(), book)
    closed = set() if stop is None else {check for check in checks if _is_after(check, stop)}
    findings = tuple(
        closed_finding(check, facts, entries, book, stop) if stop and check in closed else own[check]
        for check in checks
    )
    missing = tuple(
        check for check in checks if check in required and check not in closed and not is_entered(check, entries)
    )
    return Judgement(
        outcome=_outcome(findings, missing),
        findings=findings,
        missing=missing,
        advice=advice_on(facts, entries, findings, book),
    )


def _still_required(facts: ItemFacts, entries: Entries, book: RuleBook) -> set[Check]:
    """The required checks, without insulation and leakage once either has been done in an accepted way."""
    required = set(required_checks(facts, book))
    leakage = entries.leakage
    accepted = leakage is not None and replaces_insulation(facts, book, leakage.method)
    if entries.insulation is not None or accepted:
        return required - {Check.INSULATION, Check.LEAKAGE}
    if leakage is not None:
        return (required - {Check.LEAKAGE}) | {Check.INSULATION}
    return required


def _stopped_by(findings: Iterable[Finding], book: RuleBook) -> Check | None:
    """The first failed check that closes those after it."""
    stop = book.find("inspection.stop-after")
    words = stop.words if stop else ()
    failed = (finding.check for finding in findings if finding.result is CheckResult.FAIL)
    return next((check for check in failed if check in words), None)


def _is_after(check: Check, stop: Check) -> bool:
    order = list(Check)
    return order.index(check) > order.index(stop)


def _outcome(findings: Iterable[Finding], missing: tuple[Check, ...]) -> Outcome:
    results = {finding.result for finding in findings}
    if CheckResult.FAIL in results:
        return Outcome.FAIL
    return Outcome.PASS if results == {CheckResult.PASS} and not missing else Outcome.INCOMPLETE
