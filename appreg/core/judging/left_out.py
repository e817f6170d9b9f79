"""What an inspection leaves out with a reason: only where the rule book lets it, and never what decides safety."""

from typing import Final

from msgspec.structs import replace

from appreg.core.judging.check_findings import CONFIRM
from appreg.core.records.appliances import ApplianceClass, ItemFacts
from appreg.core.records.checks import Check, Entries
from appreg.core.records.findings import Finding
from appreg.core.rules.assumptions import REQUIRING, words_of
from appreg.core.rules.required_checks import requirement_row
from appreg.core.rules.rule_book import Figure, RuleBook
from appreg.core.values.outcomes import CheckResult

SAID_LEFT_OUT: Final = "left out"
"""The word for a check that an inspection passes without."""


def row_of_left_out(facts: ItemFacts, book: RuleBook) -> Figure | None:
    """The row of the book that says which checks of such an item may be left out; None where none may."""
    # Others are earthed, and protected, through a device that is itself an RCD, as through a lead.
    if facts.scope or facts.is_rcd or facts.appliance_class is ApplianceClass.UNKNOWN:
        return None
    return book.find(f"may-be-left-out.{requirement_row(facts)}")


def refusal_to_leave_out(check: Check, facts: ItemFacts, entries: Entries, book: RuleBook) -> str:
    """Why a check that is asked for may not be left out, as a clause; empty where it may."""
    row = row_of_left_out(facts, book)
    if row is None or check not in row.words:
        return f"rule book {book.id} does not let it be left out here"
    if check in entries.begun:
        return "it was begun, or has failed before: take it again"
    assumed = [fact for fact in REQUIRING if fact in facts.assumed]
    if assumed:
        return f"only if {words_of(facts, assumed)}: {CONFIRM}"
    return ""


def left_out_finding(
    own: Finding, reason: str, facts: ItemFacts, entries: Entries, book: RuleBook, *, insulation: Finding | None
) -> Finding:
    """A check that is asked for and left out: its reason, or why that is refused.

    `insulation` is the finding of that check: leakage is left out only where it passes, never both.
    """
    why = refusal_to_leave_out(own.check, facts, entries, book)
    if not why and own.check is Check.LEAKAGE and (insulation is None or insulation.result is not CheckResult.PASS):
        why = "only where insulation is measured and passes"
    said = f"{SAID_LEFT_OUT}: {reason}"
    if why:
        resting = tuple(fact for fact in REQUIRING if fact in facts.assumed)
        return replace(own, arithmetic=f"{said}, but {why}", assumed=resting or own.assumed)
    row = row_of_left_out(facts, book)
    cited = row.citation if row else None
    return replace(
        own,
        left_out=reason,
        arithmetic=said,
        source=cited.line if cited else own.source,
        basis=cited.basis if cited else own.basis,
        assumed=(),
    )
