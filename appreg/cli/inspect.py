"""`appreg inspect`: one item asked line by line, judged and kept as on the Bench."""

import argparse
from contextlib import suppress
from typing import TYPE_CHECKING

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.opening import end_writing, opened
from appreg.cli.operator_name import operator_name
from appreg.clock import local_today
from appreg.progress import Stopped
from appreg.tasks.keeping.begin_work import Search

if TYPE_CHECKING:
    from appreg.cli.asking.line_bench import LineBench
    from appreg.cli.asking.talk import Talk
    from appreg.cli.shapes.item_shapes import InspectionAnswer
    from appreg.core.records.kept_records import Appliance, Visit
    from appreg.core.values.uids import Uid
    from appreg.register.opening.register_file import Register
    from appreg.tasks.inspecting.record_inspection import SavedInspection


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("tag", metavar="TAG", help="the tag in any case, the key, or what the label's code says")
    parser.add_argument(
        "--visit", metavar="VISIT", help="its key, its date, or `latest`; today's at the item's site if absent"
    )
    parser.add_argument("--person", metavar="NAME", help="who inspects and signs a visit begun now; initials do")
    parser.add_argument("--instrument", metavar="SERIAL", help="the instrument of a visit begun now")
    parser.add_argument("--look", action="store_true", help="a formal visual inspection alone, nothing is measured")
    parser.add_argument("--json", action="store_true", help="write what was kept as JSON, questions on standard error")


def run(args: argparse.Namespace, console: Console) -> int:
    """Ask and keep; the exit code is 0 for a pass, 1 for a failure, 3 where it is incomplete.

    Raises Stopped where it is left unkept.
    """
    from appreg.cli.asking.asked_visit import asked_visit, read_cautions  # noqa: PLC0415 - a help needs no register
    from appreg.cli.asking.talk import Left, Talk  # noqa: PLC0415
    from appreg.tasks.items.find_items import item_meant  # noqa: PLC0415

    talk, who, today = Talk(console, aside=args.json), operator_name(), local_today()
    with opened(args, console, writes=True, search=Search.WHOLE) as register:
        item = item_meant(register, args.tag)
        try:
            read_cautions(register, who, talk, today=today)
            visit = asked_visit(register, who, item, args, talk, today=today)
        except (Left, KeyboardInterrupt) as left:
            raise Stopped(f"It was left before the inspection began: nothing of {item.tag} is kept.") from left
        known = _inspections(register, item)
        try:
            saved = _inspect(register, who, item, visit, talk, look=args.look)
        finally:
            end_writing(register, console)
        if saved is None:
            raise Stopped(_left(register, item, visit, known))
        if args.json:
            console.json(_as_json(register, saved))
    return {"pass": ExitCode.FINE, "fail": ExitCode.FOUND_WRONG}.get(saved.inspection.outcome, ExitCode.INCOMPLETE)


def _inspect(
    register: "Register", who: str, item: "Appliance", visit: "Visit", talk: "Talk", *, look: bool
) -> "SavedInspection | None":
    """Ask until it is kept; None where it is left half-filled."""
    from appreg.cli.asking.asked_keeping import AskedKeeping  # noqa: PLC0415 - a help text needs no register
    from appreg.cli.asking.asked_lines import AskedLines  # noqa: PLC0415
    from appreg.cli.asking.line_bench import LineBench  # noqa: PLC0415
    from appreg.cli.asking.talk import Left  # noqa: PLC0415
    from appreg.core.records.kept_records import InspectionKind  # noqa: PLC0415

    kind = InspectionKind.VISUAL if look else InspectionKind.COMBINED
    try:
        bench = LineBench(register, who, visit.uid, item.uid, kind, warn=talk.say)
        _say_what_it_is(bench, talk)
        saved = AskedKeeping(bench, AskedLines(bench, talk), talk).work()
    except (Left, KeyboardInterrupt):
        return None
    kept = saved.inspection
    label = f"; a {saved.label.kind} label waits" if saved.label else ""
    with suppress(Left):  # it is kept, whether or not anybody still listens
        talk.say(f"Kept: {item.tag} {kept.outcome}{label}.", saved.caution)
    return saved


def _say_what_it_is(bench: "LineBench", talk: "Talk") -> None:
    from appreg.cli.asking.asked_words import without_keys  # noqa: PLC0415 - a help text needs no register
    from appreg.core.records.kept_records import InspectionKind  # noqa: PLC0415
    from appreg.ui.screens.bench.bench_words import (  # noqa: PLC0415
        cord_and_fuse,
        last_result,
        standing_words,
        what_it_is,
    )

    item, assumed = bench.item.appliance, bench.item.rules.facts.assumed
    stands = "; every line stands as it was kept, anew empties them" if bench.state.opened is not None else ""
    talk.say(
        f"{item.tag} {item.name}, {bench.item.location.name}",
        " · ".join(part for part in (what_it_is(item, assumed), cord_and_fuse(item, assumed)) if part),
        f"{last_result(bench.item)} · rules: {bench.item.rules.book.named()}",
        without_keys(standing_words(bench.state.actions, bench.item.stated_failure)),
        f"Kept on this visit: {bench.kept.outcome}{stands}." if bench.kept else "",
        f"Half-filled at {bench.resumed}: it stands as it was left, anew empties it." if bench.resumed else "",
        "This is a look alone: nothing is measured." if bench.entries.kind is InspectionKind.VISUAL else "",
        "Type help at any line for what can be typed.",
    )


def _inspections(register: "Register", item: "Appliance") -> "set[Uid]":
    from appreg.register.lists.inspection_lists import inspections_of  # noqa: PLC0415 - a help text needs no register

    return {each.uid for each in inspections_of(register, item.uid, readable=True)}


def _left(register: "Register", item: "Appliance", visit: "Visit", known: "set[Uid]") -> str:
    """What became of what was typed."""
    from appreg.register.lists.inspection_lists import effective_inspections  # noqa: PLC0415 - a help text needs no register
    from appreg.tasks.inspecting.keep_bench_draft import bench_draft  # noqa: PLC0415
    from appreg.tasks.inspecting.record_not_inspected import not_inspected_on  # noqa: PLC0415

    if _inspections(register, item) - known:
        return f"The inspection of {item.tag} was kept before this was stopped; `appreg show {item.tag}` shows it."
    stands = any(each.visit == visit.uid for each in effective_inspections(register, item.uid, readable=True))
    so_far = f"{item.tag} stays as it was kept on this visit" if stands else f"{item.tag} is not inspected"
    reason = next((each for each in not_inspected_on(register, visit.uid) if each.appliance == item.uid), None)
    so_far += f", {reason.because}, and stays due" if reason else ""
    if bench_draft(register, visit=visit.uid, appliance=item.uid) is None:
        return f"{so_far}." if reason else f"{so_far}: nothing new was kept."
    return (
        f"{so_far}: what was typed is kept half-filled, and `appreg inspect {item.tag}` or the Bench goes on with it."
    )


def _as_json(register: "Register", saved: "SavedInspection") -> "InspectionAnswer":
    from appreg.cli.item_output import inspection_as_json  # noqa: PLC0415 - only where JSON is asked for
    from appreg.cli.json_values import day_text, item_name  # noqa: PLC0415
    from appreg.schedule.due_states import waited_dates  # noqa: PLC0415
    from appreg.tasks.inspecting.open_bench import history_of_item  # noqa: PLC0415

    item, uid = saved.appliance, saved.inspection.uid
    visual, test = waited_dates(item)
    past = next(each for each in history_of_item(register, item.uid) if each.inspection.uid == uid)
    return {
        "format": "appreg.inspection",
        "version": 1,
        **item_name(item),
        "state": item.state,
        "next_visual": day_text(visual),
        "next_test": day_text(test),
        "label": saved.label.kind if saved.label else None,
        "caution": saved.caution,
        "inspection": inspection_as_json(past),
    }
