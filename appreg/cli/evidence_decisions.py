"""What `appreg evidence` changes: a suggestion is accepted, or an interval taken back."""

import argparse
from collections.abc import Sequence

from appreg.cli.console import Console
from appreg.cli.evidence_groups import weighed
from appreg.cli.exit_codes import ExitCode
from appreg.cli.opening import end_writing, opened, site_uid
from appreg.cli.operator_name import operator_name
from appreg.cli.shapes.evidence_shapes import IntervalDecisionAnswer
from appreg.clock import local_today
from appreg.core.values.counted_words import counted
from appreg.core.values.due_words import DUE_WORDS
from appreg.core.values.periods import parse_period
from appreg.errors import InputRefused, UsageRefused
from appreg.register.opening.register_file import Register
from appreg.schedule.interval_overrides import Signature
from appreg.tasks.keeping.begin_work import Search
from appreg.tasks.planning.accept_suggestion import accept_suggestion, take_back_group
from appreg.tasks.planning.group_like_items import EvidenceGrouping, EvidenceRules
from appreg.tasks.planning.weigh_evidence import EvidenceGroup


def decide(args: argparse.Namespace, console: Console) -> int:
    """Accept or take back for the one group that is meant; raises InputRefused where none or several are."""
    if args.signed_on and not args.signed_by:
        raise UsageRefused("--signed-on goes with --signed-by; name the duty holder who signed.")
    if args.take_back is not None and args.signed_by:
        raise UsageRefused("--signed-by goes with --accept; nothing is signed for where an interval is taken back.")
    with opened(args, console, writes=True, search=Search.WHOLE) as register:
        group = _meant(weighed(register, args), args)
        words = _take_back(register, group, args) if args.accept is None else _accept(register, group, args)
        rules = EvidenceRules(register)
        in_use = {now.period for item in group.items if (now := rules.in_use(item, group.what)) is not None}
        end_writing(register, console)
    if args.json:
        answer: IntervalDecisionAnswer = {
            "format": "appreg.interval-decision",
            "version": 1,
            "done": "taken back" if args.accept is None else "accepted",
            "group": group.title,
            "environment": group.environment,
            "interval": group.what,
            "items": len(group.items),
            "was": str(group.now),
            "now": [str(each) for each in sorted(in_use)],
            "reason": args.reason,
            "signed_by": args.signed_by or "",
            "signed_on": (args.signed_on or local_today()).isoformat() if args.signed_by else None,
        }
        console.json(answer)
    else:
        console.line(f"{group.title}, {group.environment}, {DUE_WORDS[group.what]}: {words}")
    return ExitCode.FINE


def _accept(register: Register, group: EvidenceGroup, args: argparse.Namespace) -> str:
    today = local_today()
    kept = accept_suggestion(
        register,
        operator_name(),
        group=group,
        by=EvidenceGrouping(args.by),
        on=today,
        reason=args.reason,
        site=site_uid(register, args.site),
        signature=Signature(by=args.signed_by, on=args.signed_on or today) if args.signed_by else None,
    )
    period = parse_period(kept[0].period)
    return (
        f"{period.words} in place of {group.now.words} for {counted(len(kept), 'item')}; the count starts anew today."
    )


def _take_back(register: Register, group: EvidenceGroup, args: argparse.Namespace) -> str:
    return take_back_group(register, operator_name(), group=group, reason=args.reason).words


def _meant(groups: Sequence[EvidenceGroup], args: argparse.Namespace) -> EvidenceGroup:
    named = " ".join((args.accept if args.take_back is None else args.take_back).split()).casefold()
    alike = [each for each in groups if each.title.casefold() == named]
    place, now = (args.environment or "").casefold(), parse_period(args.now.upper()) if args.now else None
    found = [
        each
        for each in alike
        if (not args.interval or each.what == args.interval)
        and each.environment.casefold().startswith(place)
        and (now is None or each.now == now)
    ]
    if len(found) == 1:
        return found[0]
    option = "--accept" if args.take_back is None else "--take-back"
    if found:
        raise InputRefused(
            f"{option}: {len(found)} groups answer to that, {_listed(found)}; choose with --interval, --environment or --now.",
            field=option.removeprefix("--"),
        )
    known = _listed(alike) if alike else ", ".join(dict.fromkeys(each.title for each in groups)) or "none"
    raise InputRefused(f"{option}: no group answers to that; there is {known}.", field=option.removeprefix("--"))


def _listed(groups: Sequence[EvidenceGroup]) -> str:
    return " · ".join(f"{each.title}, {each.environment}, {DUE_WORDS[each.what]}, {each.now}" for each in groups)
