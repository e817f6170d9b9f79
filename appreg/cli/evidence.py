"""`appreg evidence`: what past inspections of like items say of their intervals."""

import argparse
from typing import TYPE_CHECKING

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.opening import opened, site_uid
from appreg.cli.typed_options import percent_share
from appreg.core.values.due_words import DUE_WORDS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from appreg.cli.shapes.evidence_shapes import EvidenceAnswer, EvidenceGroupShape, RuleShape
    from appreg.schedule.evidence import RuleAnswer
    from appreg.tasks.planning.weigh_evidence import EvidenceGroup


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument(
        "--by", choices=("category", "type"), default="category", help="what makes items alike, beside environment"
    )
    parser.add_argument("--site", metavar="SITE", help="one site alone: its name, prefix or key")
    parser.add_argument(
        "--target", type=percent_share, metavar="PERCENT", help="failure rate the duty holder accepts (default: 2)"
    )
    parser.add_argument(
        "--confidence", type=percent_share, metavar="PERCENT", help="of the exact two-sided limits (default: 95)"
    )
    parser.add_argument("--json", action="store_true", help="write JSON")


def run(args: argparse.Namespace, console: Console) -> int:
    """Weigh; nothing is changed, a suggestion is accepted on the screen."""
    from appreg.schedule.evidence import USUAL_CONFIDENCE, USUAL_TARGET  # noqa: PLC0415 - a help text needs none
    from appreg.tasks.planning.group_like_items import EvidenceGrouping  # noqa: PLC0415
    from appreg.tasks.planning.weigh_evidence import weigh_evidence  # noqa: PLC0415

    with opened(args, console) as register:
        groups = weigh_evidence(
            register,
            by=EvidenceGrouping(args.by),
            target=USUAL_TARGET if args.target is None else args.target,
            confidence=USUAL_CONFIDENCE if args.confidence is None else args.confidence,
            site=site_uid(register, args.site),
        )
    if args.json:
        answer: EvidenceAnswer = {
            "format": "appreg.evidence",
            "version": 1,
            "groups": [_as_json(group) for group in groups],
            "damaged": list(register.damage.sentences),
        }
        console.json(answer)
    else:
        _show(groups, console)
    return ExitCode.FINE


def _show(groups: "Sequence[EvidenceGroup]", console: Console) -> None:
    if not groups:
        console.line("There is nothing to weigh: no item in use has an interval.")
        return
    heads = (
        "group",
        "environment",
        "interval",
        "now",
        "items",
        "inspected",
        "failed",
        "seen",
        "measured",
        "limits",
        "answer",
    )
    console.table(heads, (_cells(group) for group in groups))
    for group in groups:
        if group.evidence.counts.left_out:
            console.line(
                f"{group.title}, {group.environment}, {DUE_WORDS[group.what]}: left out {group.evidence.counts.left_out}."
            )
        if group.suggestion is not None or group.held:
            answer = f"suggested {group.suggestion.words}" if group.suggestion else f"not longer: {group.held}"
            console.line(
                f"{group.title}, {group.environment}, {DUE_WORDS[group.what]}: {group.evidence.sentence}; {answer}."
            )


def _cells(group: "EvidenceGroup") -> list[str]:
    evidence = group.evidence
    counts = evidence.counts
    limits = f"{100 * evidence.limits.lower:.2f}-{100 * evidence.limits.upper:.2f} %" if evidence.limits else "-"
    return [
        group.title,
        group.environment,
        DUE_WORDS[group.what],
        group.now.words,
        str(len(group.items)),
        str(counts.inspections),
        str(counts.failures),
        str(counts.visual_failures),
        str(counts.electrical_failures),
        limits,
        evidence.advice.value,
    ]


def _as_json(group: "EvidenceGroup") -> "EvidenceGroupShape":
    evidence = group.evidence
    counts = evidence.counts
    limits = evidence.limits
    return {
        "group": group.title,
        "environment": group.environment,
        "table": group.table,
        "interval": group.what,
        "now": str(group.now),
        "items": len(group.items),
        "inspections": counts.inspections,
        "failures": counts.failures,
        "whole_intervals": counts.weighed,
        "left_out": {
            "first": counts.first,
            "retests": counts.retests,
            "earlier": counts.earlier,
            "too_soon": counts.too_soon,
            "long_after": counts.long_after,
        },
        "visual_failures": counts.visual_failures,
        "electrical_failures": counts.electrical_failures,
        "by_check": dict(counts.by_check),
        "failure_rate": counts.rate,
        "rate_low": limits.lower if limits else None,
        "rate_high": limits.upper if limits else None,
        "target": str(evidence.target),
        "confidence": str(evidence.confidence),
        "answer": evidence.advice,
        "suggestion": str(group.suggestion) if group.suggestion else None,
        "held_because": group.held,
        "further_clean_inspections": evidence.further_clean,
        "error_rate_rule": _rule_as_json(evidence.rule),
        "years": [
            {"year": each.year, "inspections": each.inspections, "failures": each.failures} for each in group.years
        ],
    }


def _rule_as_json(rule: "RuleAnswer | None") -> "RuleShape | None":
    if rule is None:
        return None
    return {
        "may_lengthen": rule.may_lengthen,
        "rate_percent": str(rule.rate_percent),
        "below_percent": str(rule.below_percent),
        "longest": str(rule.longest) if rule.longest else None,
        "source": rule.source,
    }
