"""From readings to findings to the outcome of an inspection."""

from dataclasses import dataclass

from appreg.core.appliances import ItemFacts
from appreg.core.checks import Check, Entries
from appreg.core.findings import Finding as Finding
from appreg.core.outcomes import Outcome
from appreg.core.rule_book import RuleBook


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """What an inspection came to."""

    outcome: Outcome
    findings: tuple[Finding, ...]
    """Every check that is required or was done, in the order of an inspection."""
    missing: tuple[Check, ...]
    """Required checks that were not done."""
    advice: tuple[str, ...]
    """Sentences; advice never changes the outcome."""


def judge(facts: ItemFacts, entries: Entries, book: RuleBook) -> Judgement:
    """Judge one item against a rule book."""
    raise NotImplementedError
