"""`appreg evidence`: what past inspections of like items say of their intervals."""

import argparse
from typing import TYPE_CHECKING

from appreg.cli.chosen_columns import add_forms, refuse_forms, workbook_named
from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.opening import opened
from appreg.cli.typed_options import day, percent_share
from appreg.clock import local_today
from appreg.core.values.counted_words import counted
from appreg.core.values.due_words import DUE_WORDS
from appreg.errors import UsageRefused

if TYPE_CHECKING:
    from collections.abc import Sequence

    from appreg.cli.shapes.evidence_shapes import EvidenceAnswer, EvidenceGroupShape, RuleShape
    from appreg.paper.documents.list_content import ListDocument
    from appreg.register.opening.register_file import Register
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
    decision = parser.add_mutually_exclusive_group()
    decision.add_argument("--accept", metavar="GROUP", help="accept what is suggested for these like items")
    decision.add_argument(
        "--take-back", metavar="GROUP", help="take their interval back: what stood before holds again"
    )
    parser.add_argument("--interval", choices=("test", "visual"), help="of which interval, where both answer")
    parser.add_argument("--environment", metavar="WORDS", help="in which environment, as its words begin")
    parser.add_argument("--now", metavar="PERIOD", help="at which interval in use, say P1Y, where several are")
    parser.add_argument("--reason", default="", metavar="TEXT", help="why, kept with the interval")
    parser.add_argument("--signed-by", metavar="NAME", help="the duty holder who signed for a longer interval")
    parser.add_argument("--signed-on", type=day, metavar="DATE", help="the day of signing (default: today)")
    add_forms(parser, "write JSON")


def run(args: argparse.Namespace, console: Console) -> int:
    """Weigh, and accept or take back where that is asked for; otherwise nothing is changed."""
    refuse_forms(args)
    if args.accept is not None or args.take_back is not None:
        if args.csv or args.xlsx is not None:
            raise UsageRefused("--csv and --xlsx write what is weighed; leave them out of a decision.")
        from appreg.cli.evidence_decisions import decide  # noqa: PLC0415 - most calls change nothing

        return decide(args, console)
    for option in ("interval", "environment", "now", "reason", "signed_by", "signed_on"):
        if getattr(args, option):
            raise UsageRefused(f"--{option.replace('_', '-')} goes with --accept or --take-back; leave it out.")
    from appreg.cli.evidence_groups import weighed  # noqa: PLC0415 - a help text needs none

    with opened(args, console) as register:
        groups = weighed(register, args)
        rows = _as_list(register, groups, args) if args.csv or args.xlsx is not None else None
    if rows is not None:
        _write_rows(rows, args, console)
    elif args.json:
        from appreg.schedule.evidence import METHOD  # noqa: PLC0415 - a help text needs none

        answer: EvidenceAnswer = {
            "format": "appreg.evidence",
            "version": 1,
            "groups": [_as_json(group) for group in groups],
            "method": METHOD,
            "damaged": list(register.damage.sentences),
        }
        console.json(answer)
    else:
        _show(groups, console)
    return ExitCode.FINE


def _as_list(register: "Register", groups: "Sequence[EvidenceGroup]", args: argparse.Namespace) -> "ListDocument":
    from appreg.cli.opening import site_uid  # noqa: PLC0415 - a help text needs no register
    from appreg.schedule.evidence import USUAL_CONFIDENCE, USUAL_TARGET  # noqa: PLC0415
    from appreg.tasks.documents.tell_evidence import evidence_list  # noqa: PLC0415
    from appreg.tasks.documents.tell_sites import date_form_of, title_of  # noqa: PLC0415

    site = site_uid(register, args.site)
    return evidence_list(
        groups,
        title=title_of(register, site),
        target=USUAL_TARGET if args.target is None else args.target,
        confidence=USUAL_CONFIDENCE if args.confidence is None else args.confidence,
        dates=date_form_of(register, site),
        today=local_today(),
    )


def _write_rows(document: "ListDocument", args: argparse.Namespace, console: Console) -> None:
    """As CSV, or into the workbook that was named, with the sentences that say how the answers come about."""
    if args.xlsx is None:
        from appreg.exchange.list_file import told_heads, told_rows  # noqa: PLC0415 - if asked for

        console.csv(told_heads(document.tables[0], document.beside), told_rows(document.tables[0], document.beside))
        return
    from appreg.tasks.documents.write_paper import write_rows  # noqa: PLC0415 - if asked for

    out = workbook_named(args)
    write_rows(document, out, replace=args.force)
    console.line(f"Written: {out}, {counted(document.count, 'row')}.")


def _show(groups: "Sequence[EvidenceGroup]", console: Console) -> None:
    from appreg.schedule.evidence import METHOD, PROMISE  # noqa: PLC0415 - a help text needs none
    from appreg.schedule.interval_overrides import since_words  # noqa: PLC0415

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
        name = f"{group.title}, {group.environment}, {DUE_WORDS[group.what]}"
        if group.set_by_hand:
            console.line(f"{name}: {group.now.words}, {since_words(group.set_by_hand)}.")
        if group.evidence.counts.left_out:
            console.line(f"{name}: left out {group.evidence.counts.left_out}.")
        if group.suggestion is not None or group.held:
            answer = f"suggested {group.suggestion.words}" if group.suggestion else f"not longer: {group.held}"
            console.line(f"{name}: {group.evidence.sentence}; {answer}.")
        if group.must_sign:
            console.line(f"{name}: a duty holder has to sign, {group.must_sign}.")
    for window in dict.fromkeys(group.window.words for group in groups):
        console.line(f"Counted: what was found {window}; time is weighed, an interval at most each.")
    console.line(METHOD)
    console.line(PROMISE)


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
            "too_soon_failed": counts.early_failures,
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
        "must_sign_because": group.must_sign,
        "set_by_hand_since": group.set_by_hand[-1].on.isoformat() if group.set_by_hand else None,
        "window": {"least": str(group.window.least), "most": str(group.window.most)},
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
