"""What the Evidence screen says of the group under the cursor, and of the method behind it."""

from collections.abc import Callable
from typing import Final

from textual.content import Content

from appreg.core.values.counted_words import counted
from appreg.core.values.text import shown
from appreg.schedule.evidence import METHOD, PROMISE, rate_after
from appreg.schedule.interval_overrides import since_words
from appreg.tasks.planning.weigh_evidence import EvidenceGroup, YearCounts
from appreg.ui.shell.key_words import key_of

ACCEPT: Final = key_of("evidence.accept", "a")
TAKE_BACK: Final = key_of("evidence.take_back", "b")


def answer_words(group: EvidenceGroup, in_present_keys: Callable[[str], str]) -> Content:
    """The answer with its numbers, since when what is in use, what counted, and what could be done by which key."""
    loud = "$mark" if group.suggestion else "$quiet"
    lines = [
        Content.styled(shown(group.evidence.sentence), "bold"),
        Content(shown(f"{_failures(group)} · {_left_out(group)}")),
        Content(shown(in_present_keys(_in_use(group)))),
        Content(f"counted: {group.window.words}, time weighed"),
        Content.styled(shown(in_present_keys(_what_next(group))), loud),
    ]
    if group.must_sign:
        lines.append(Content.styled(shown(f"a duty holder has to sign: {group.must_sign}"), "$doubt"))
    return Content("\n").join(lines)


def year_words(years: tuple[YearCounts, ...]) -> str:
    """The years of the plot with their counts, the newest first: a narrow screen cuts the end."""
    return "failed, newest first: " + (
        " · ".join(f"{each.year} {each.failures} of {each.inspections}" for each in reversed(years)) or "none yet"
    )


def method_rows(group: EvidenceGroup) -> tuple[tuple[str, str], ...]:
    """How the answer comes about, row by row."""
    counts = group.evidence.counts
    return (
        ("answer", group.evidence.sentence),
        ("in use", f"{group.now.words}, {_since(group)}"),
        ("counted", f"{counts.inspections} inspections that found an item {group.window.words}"),
        (
            "weighed",
            f"as {counts.weighed} whole intervals: what came sooner counts for its share, none for more than one",
        ),
        ("left out", counts.left_out or "nothing"),
        ("method", METHOD),
        ("promise", PROMISE),
        ("window from", f"{group.window.source} ({group.window.basis})"),
    )


def expected_words(group: EvidenceGroup) -> str:
    """What is to be expected of the interval suggested; empty where there is none."""
    limits = group.evidence.limits
    if group.suggestion is None or limits is None:
        return ""
    upper = 100 * rate_after(limits.upper, group.now, group.suggestion)
    return (
        f"If failures come evenly over time, up to {upper:.1f} % fail within {group.suggestion.words}; "
        "what is so is known once items have been inspected at it."
    )


def _in_use(group: EvidenceGroup) -> str:
    back = f"; {TAKE_BACK} takes it back" if group.set_by_hand else ""
    return f"in use: {group.now.words}, {_since(group)}{back}"


def _since(group: EvidenceGroup) -> str:
    if not group.set_by_hand:
        return "as the table has it"
    return f"{since_words(group.set_by_hand)}, counted from then on"


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
        (counts.first, "first inspection", "first inspections"),
        (counts.retests, "retest", "retests"),
        (counts.earlier, "begun before it was set", "begun before it was set"),
        (counts.too_soon, "too soon", "too soon"),
        (counts.long_after, "long after", "long after"),
    )
    said = ", ".join(f"{number} {one if number == 1 else more}" for number, one, more in parts if number)
    return f"left out: {said}" if said else "nothing left out"


def _what_next(group: EvidenceGroup) -> str:
    evidence = group.evidence
    said = []
    if group.suggestion is not None:
        said.append(
            f"suggested: {group.suggestion.words} instead of {group.now.words}; "
            f"{ACCEPT} accepts it: {counted(len(group.items), 'item')}, counted anew"
        )
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
