"""What the evidence of one group says, in four lines; and its years."""

from collections.abc import Callable
from typing import Final

from textual.content import Content

from appreg.core.text import shown
from appreg.tasks.weigh_evidence import EvidenceGroup, YearCounts
from appreg.ui.key_words import key_of

ACCEPT: Final = key_of("evidence.accept", "a")


def answer_words(group: EvidenceGroup, in_present_keys: Callable[[str], str]) -> Content:
    """The answer with its numbers, what failed, what was left out, and what could be done by which key."""
    return Content("\n").join(
        [
            Content.styled(shown(group.evidence.sentence), "bold"),
            Content(shown(_failures(group))),
            Content(shown(_left_out(group))),
            Content.styled(shown(in_present_keys(_what_next(group))), "$mark" if group.suggestion else "$quiet"),
        ]
    )


def year_words(years: tuple[YearCounts, ...]) -> str:
    """The years of the plot with their counts."""
    return "failures a year: " + (
        " · ".join(f"{each.year} {each.failures} of {each.inspections}" for each in years) or "none yet"
    )


def _failures(group: EvidenceGroup) -> str:
    counts = group.evidence.counts
    if not counts.failures:
        return "nothing failed"
    checks = ", ".join(f"{name} {number}" for name, number in counts.by_check.items())
    return f"seen {counts.visual_failures}, measured {counts.electrical_failures} · {checks or 'checks not recorded'}"


def _left_out(group: EvidenceGroup) -> str:
    """What was not counted, short enough for a narrow screen."""
    counts = group.evidence.counts
    parts = (
        (counts.first, "first"),
        (counts.retests, "retests"),
        (counts.too_soon, "too soon"),
        (counts.long_after, "long after"),
    )
    said = ", ".join(f"{number} {words}" for number, words in parts if number)
    return f"left out: {said}" if said else "nothing left out"


def _what_next(group: EvidenceGroup) -> str:
    evidence = group.evidence
    said = []
    if group.suggestion is not None:
        said.append(f"suggested: {group.suggestion.words} instead of {group.now.words}; {ACCEPT} accepts it")
    elif group.held:
        said.append(f"not longer: {group.held}")
    elif evidence.further_clean:
        said.append(f"{evidence.further_clean} more without a failure would allow a longer interval")
    else:
        said.append("no number of clean inspections within reach would allow a longer interval")
    if evidence.rule is not None:
        allowed = "below" if evidence.rule.may_lengthen else "not below"
        said.append(f"error rate {evidence.rule.rate_percent} %, {allowed} {evidence.rule.below_percent} %")
    return " · ".join(said)
