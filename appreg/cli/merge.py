"""`appreg merge`: another register's records taken into this one, and what two places contest settled."""

import argparse
import os
from typing import TYPE_CHECKING

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.clock import system_clock
from appreg.errors import InputRefused, UsageRefused

if TYPE_CHECKING:
    from appreg.cli.shapes.merge_shapes import ContestsAnswer, ContestShape, MergedAnswer
    from appreg.register.opening.register_file import Register
    from appreg.tasks.keeping.merge_registers import Merged
    from appreg.tasks.keeping.settle_contests import Contest


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("other", metavar="OTHER", nargs="?", help="the register to take in, a file or postgresql://…")
    parser.add_argument("--dry-run", action="store_true", help="only tell what would come in; nothing is saved")
    parser.add_argument(
        "--contests", action="store_true", help="list the fields that two places left at different values"
    )
    parser.add_argument("--settle", metavar="CONTEST", help="settle one of them, named as the list has it")
    parser.add_argument("--keep", metavar="NUMBER", type=int, help="with --settle: the value to keep, by its number")
    parser.add_argument("--json", action="store_true", help="write JSON")


def run(args: argparse.Namespace, console: Console) -> int:
    """Take it in, or list or settle what is contested; exit code 1 where anything is left to be settled."""
    from appreg.cli.opening import end_writing, opened  # noqa: PLC0415 - a help text needs no register

    _refuse_odd(args)
    writes = args.settle is not None or (args.other is not None and not args.dry_run)
    with opened(args, console, writes=writes) as register:
        if args.settle is not None:
            _settle(register, args)
        code = _merge(register, args, console) if args.other is not None else _contests(register, args, console)
        if writes:
            end_writing(register, console)
    return code


def _refuse_odd(args: argparse.Namespace) -> None:
    if sum((args.other is not None, args.contests, args.settle is not None)) != 1:
        raise UsageRefused("Name the register to take in, or give --contests, or --settle CONTEST --keep NUMBER.")
    if (args.settle is None) != (args.keep is None):
        raise UsageRefused("--settle and --keep belong together: which contest, and which of its values.")
    if args.dry_run and args.other is None:
        raise UsageRefused("--dry-run belongs to a register that would be taken in; name it.")


def _merge(register: "Register", args: argparse.Namespace, console: Console) -> int:
    from appreg.cli.operator_name import operator_name  # noqa: PLC0415
    from appreg.cli.passphrases import readable  # noqa: PLC0415
    from appreg.tasks.desk.keep_settings import load_settings, settings_path  # noqa: PLC0415
    from appreg.tasks.desk.locate_register import named_place  # noqa: PLC0415
    from appreg.tasks.keeping.merge_registers import merge_registers  # noqa: PLC0415

    other = named_place(args.other, os.environ, field="OTHER")
    settings = load_settings(settings_path(os.environ))
    with readable(other) as source, console.progress("merging") as progress:
        merged = merge_registers(
            register,
            operator_name(),
            source,
            settings=settings,
            now=system_clock(),
            progress=progress,
            only_tried=args.dry_run,
        )
    if args.json:
        console.json(_merged_answer(register, merged, str(other), saved=not args.dry_run))
    else:
        _tell(register, merged, str(other), console, saved=not args.dry_run)
    return ExitCode.FOUND_WRONG if merged.contests or merged.twice or merged.forked else ExitCode.FINE


def _tell(register: "Register", merged: "Merged", other: str, console: Console, *, saved: bool) -> None:
    from appreg.tasks.keeping.describe_merge import contest_line, merged_lines  # noqa: PLC0415

    if not merged.lines:
        console.line(f"{other} holds nothing that is not here already; nothing was changed.")
    elif saved:
        console.line(f"{other} was taken in: {merged.lines} lines of its journal.")
    else:
        console.line(f"{other} would bring in {merged.lines} lines of its journal; nothing was saved.")
    for what, words in merged_lines(merged, other):
        console.line(f"{what}: {words}")
    for contest in merged.contests:
        console.line(f"contested: {contest_line(register, contest)}")
    if merged.contests and saved:
        console.line("Settle one with: appreg merge --settle CONTEST --keep NUMBER")


def _contests(register: "Register", args: argparse.Namespace, console: Console) -> int:
    from appreg.tasks.keeping.describe_merge import contest_line  # noqa: PLC0415
    from appreg.tasks.keeping.settle_contests import open_contests  # noqa: PLC0415

    found = open_contests(register)
    if args.json:
        answer: ContestsAnswer = {
            "format": "appreg.contests",
            "version": 1,
            "contests": [_contest_answer(register, each) for each in found],
        }
        console.json(answer)
    else:
        for each in found:
            console.line(f"contested: {contest_line(register, each)}")
        if not found:
            console.line("Nothing is contested.")
    return ExitCode.FOUND_WRONG if found else ExitCode.FINE


def _settle(register: "Register", args: argparse.Namespace) -> None:
    from appreg.cli.operator_name import operator_name  # noqa: PLC0415
    from appreg.tasks.keeping.settle_contests import open_contests, settle  # noqa: PLC0415

    named = [each for each in open_contests(register) if each.mark == args.settle]
    if len(named) != 1:
        raise InputRefused(
            f"--settle: nothing that is contested is called {args.settle}; `appreg merge --contests` lists what is.",
            field="settle",
        )
    if not 1 <= args.keep <= len(named[0].values):
        raise InputRefused(
            f"--keep: {named[0].mark} has the values 1 to {len(named[0].values)}; give one of these numbers.",
            field="keep",
        )
    settle(register, operator_name(), named[0], named[0].values[args.keep - 1])


def _merged_answer(register: "Register", merged: "Merged", other: str, *, saved: bool) -> "MergedAnswer":
    return {
        "format": "appreg.merged",
        "version": 1,
        "other": other,
        "saved": saved and merged.lines > 0,
        "lines": merged.lines,
        "people": merged.people,
        "new": merged.new,
        "changed": merged.altered,
        "removed": merged.gone,
        "failures_kept": list(merged.failures_kept),
        "came_back": list(merged.came_back),
        "contests": [_contest_answer(register, each) for each in merged.contests],
        "given_twice": [
            {"kind": each.table.replace("_", " "), "key": each.uid, "value": each.value, "proposed": each.proposed}
            for each in merged.twice
        ],
        "written_in_two_places": list(merged.forked),
        "half_filled": merged.half_filled,
        "kept_copy": str(merged.kept) if merged.kept is not None else None,
    }


def _contest_answer(register: "Register", contest: "Contest") -> "ContestShape":
    from appreg.tasks.keeping.describe_merge import value_words  # noqa: PLC0415

    return {
        "contest": contest.mark,
        "kind": contest.table.replace("_", " "),
        "key": contest.uid,
        "called": contest.called,
        "field": contest.field,
        "values": [
            {"number": number, "value": value_words(register, contest, each), "who": each.who, "when": each.when}
            for number, each in enumerate(contest.values, 1)
        ],
    }
