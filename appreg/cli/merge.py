"""`appreg merge`: another register's records taken into this one, and what two places contest settled."""

import argparse
import os
from typing import TYPE_CHECKING

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.clock import system_clock
from appreg.errors import InputRefused, UsageRefused

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from appreg.cli.shapes.merge_shapes import ContestsAnswer, ContestShape, GivenTwiceShape, MergedAnswer
    from appreg.register.opening.register_file import Register
    from appreg.tasks.keeping.merge_registers import GivenTwice, Merged
    from appreg.tasks.keeping.settle_contests import Contest


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("other", metavar="OTHER", nargs="?", help="the register to take in, a file or postgresql://…")
    parser.add_argument("--dry-run", action="store_true", help="only tell what would come in; nothing is saved")
    parser.add_argument(
        "--contests",
        action="store_true",
        help="list the fields that two places left at different values, what both gave, and categories that are alike",
    )
    parser.add_argument("--settle", metavar="CONTEST", help="settle one of them, called as the list has it")
    parser.add_argument("--keep", metavar="NUMBER", type=int, help="with --settle: the value to keep, by its number")
    parser.add_argument(
        "--value", metavar="TEXT", help="with --settle: another text, or a new tag for what is given twice"
    )
    parser.add_argument(
        "--join-alike", action="store_true", help="make one of categories that are the same in everything"
    )
    parser.add_argument("--json", action="store_true", help="write JSON")


def run(args: argparse.Namespace, console: Console) -> int:
    """Take it in, or list, settle or join what it left; exit code 1 where anything is contested or given twice."""
    from appreg.cli.opening import end_writing, opened  # noqa: PLC0415 - a help text needs no register

    _refuse_odd(args)
    writes = args.settle is not None or args.join_alike or (args.other is not None and not args.dry_run)
    with opened(args, console, writes=writes) as register:
        if args.settle is not None:
            _settle(register, args, console)
        if args.join_alike:
            _join(register, args, console)
        code = _merge(register, args, console) if args.other is not None else _contests(register, args, console)
        if writes:
            end_writing(register, console)
    return code


def _refuse_odd(args: argparse.Namespace) -> None:
    if sum((args.other is not None, args.contests, args.settle is not None, args.join_alike)) != 1:
        raise UsageRefused(
            "Name the register to take in, or give --contests, --settle CONTEST --keep NUMBER, or --join-alike."
        )
    if (args.settle is None) != (args.keep is None and args.value is None):
        raise UsageRefused("--settle says which contest, and --keep or --value what is meant; give both.")
    if args.keep is not None and args.value is not None:
        raise UsageRefused("--keep takes a value of the list, --value another; give one of the two.")
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
    from appreg.core.values.counted_words import counted  # noqa: PLC0415
    from appreg.tasks.keeping.describe_merge import contest_line, merged_lines  # noqa: PLC0415

    if not merged.lines:
        console.line(f"{other} holds nothing that is not here already; nothing was changed.")
    elif saved:
        console.line(f"{other} was taken in: {counted(merged.lines, 'line')} of its journal.")
        console.line(f"kept before: {merged.kept}")
    else:
        console.line(f"{other} would bring in {counted(merged.lines, 'line')} of its journal; nothing was saved.")
    for what, words in merged_lines(merged, other):
        console.line(f"{what}: {words}")
    for contest in merged.contests:
        console.line(f"contested: {contest_line(register, contest, merged.names)}")
    if saved and (merged.contests or merged.twice or merged.alike):
        console.line("What is to be settled, and what each is called: appreg merge --contests")


def _contests(register: "Register", args: argparse.Namespace, console: Console) -> int:
    from appreg.tasks.keeping.join_categories import alike_besides, categories_alike  # noqa: PLC0415
    from appreg.tasks.keeping.merge_registers import given_twice_in  # noqa: PLC0415
    from appreg.tasks.keeping.settle_contests import open_contests  # noqa: PLC0415

    found, twice = open_contests(register), given_twice_in(register)
    if args.json:
        answer: ContestsAnswer = {
            "format": "appreg.contests",
            "version": 1,
            "contests": [_contest_answer(register, each) for each in found],
            "given_twice": [_twice_answer(each) for each in twice],
            "alike": [
                {"code": group[0].code, "name": group[0].name, "keys": [each.uid for each in group]}
                for group in categories_alike(register)
            ],
        }
        console.json(answer)
    else:
        _list(register, found, twice, console, alike=len(alike_besides(register)))
    return ExitCode.FOUND_WRONG if found or twice else ExitCode.FINE


def _list(
    register: "Register", found: "Sequence[Contest]", twice: "Sequence[GivenTwice]", console: Console, *, alike: int
) -> None:
    from appreg.tasks.keeping.describe_merge import alike_words, contest_line  # noqa: PLC0415

    for each in found:
        console.line(f"contested: {contest_line(register, each)}")
    for one in twice:
        new = f"; a new tag would be {one.proposed}" if one.proposed else ""
        console.line(f"given twice: {one.mark}, {one.called}{new}")
    if alike:
        console.line(f"alike: {alike_words(alike)} here twice, the same in everything")
    if not found and not twice and not alike:
        console.line("Nothing is to be settled.")
    if found:
        console.line("Settle one with: appreg merge --settle CONTEST --keep NUMBER, or --value TEXT")
    if any(each.proposed for each in twice):
        console.line("Give a new tag with: appreg merge --settle CONTEST --value TAG")
    if alike:
        console.line("Take them as one with: appreg merge --join-alike")


def _join(register: "Register", args: argparse.Namespace, console: Console) -> None:
    from appreg.cli.operator_name import operator_name  # noqa: PLC0415
    from appreg.tasks.keeping.describe_merge import alike_words  # noqa: PLC0415
    from appreg.tasks.keeping.join_categories import join_categories  # noqa: PLC0415

    joined = join_categories(register, operator_name())
    if not args.json:
        console.line(
            f"{alike_words(joined)} went into those that are alike."
            if joined
            else "No two categories are alike in everything; nothing was changed."
        )


def _settle(register: "Register", args: argparse.Namespace, console: Console) -> None:
    from appreg.cli.operator_name import operator_name  # noqa: PLC0415
    from appreg.tasks.keeping.merge_registers import given_twice_in  # noqa: PLC0415
    from appreg.tasks.keeping.settle_contests import give_anew, open_contests, settle  # noqa: PLC0415

    named = [each for each in open_contests(register) if each.mark == args.settle]
    twice = [each for each in given_twice_in(register) if each.mark == args.settle]
    if len(named) + len(twice) != 1:
        raise InputRefused(
            f"--settle: nothing that is to be settled is called {args.settle}; `appreg merge --contests` lists what is.",
            field="settle",
        )
    if args.value is not None and named:
        _settle_anew(register, named[0], args.value)
    elif args.value is not None:
        give_anew(register, operator_name(), twice[0].table, twice[0].uid, args.value)
    elif twice:
        raise InputRefused(
            f"--keep: {args.settle} is given twice, and has no values to choose from; give a new one with --value.",
            field="keep",
        )
    elif not 1 <= args.keep <= len(named[0].values):
        raise InputRefused(
            f"--keep: {named[0].mark} has the values 1 to {len(named[0].values)}; give one of these numbers.",
            field="keep",
        )
    else:
        settle(register, operator_name(), named[0], named[0].values[args.keep - 1])
    if not args.json:
        console.line(f"settled: {_settled_words(register, named, twice, args)}")


def _settled_words(
    register: "Register", named: "Sequence[Contest]", twice: "Sequence[GivenTwice]", args: argparse.Namespace
) -> str:
    from appreg.tasks.keeping.describe_merge import field_words, value_words  # noqa: PLC0415

    for contest in named:
        value = args.value if args.keep is None else value_words(register, contest, contest.values[args.keep - 1])
        return f"{field_words(contest)} of {contest.called} is {value}"
    return f"{twice[0].called} is {args.value}"


def _settle_anew(register: "Register", contest: "Contest", value: str) -> None:
    from appreg.cli.operator_name import operator_name  # noqa: PLC0415
    from appreg.tasks.keeping.settle_contests import is_typed, settle_anew  # noqa: PLC0415

    if not is_typed(contest):
        raise InputRefused(
            f"--value: {contest.mark} is no text; choose one of its values with --keep, then change the record itself.",
            field="value",
        )
    settle_anew(register, operator_name(), contest, value)


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
        "left": list(merged.left),
        "contests": [_contest_answer(register, each, merged.names) for each in merged.contests],
        "given_twice": [_twice_answer(each) for each in merged.twice],
        "alike": merged.alike,
        "written_in_two_places": list(merged.forked),
        "half_filled": merged.half_filled,
        "kept_copy": str(merged.kept) if merged.kept is not None else None,
    }


def _twice_answer(twice: "GivenTwice") -> "GivenTwiceShape":
    return {
        "contest": twice.mark,
        "kind": twice.table.replace("_", " "),
        "key": twice.uid,
        "called": twice.called,
        "value": twice.value,
        "proposed": twice.proposed,
    }


def _contest_answer(
    register: "Register", contest: "Contest", names: "Mapping[str, str] | None" = None
) -> "ContestShape":
    from appreg.tasks.keeping.describe_merge import value_words  # noqa: PLC0415

    return {
        "contest": contest.mark,
        "kind": contest.table.replace("_", " "),
        "key": contest.uid,
        "called": contest.called,
        "field": contest.field,
        "values": [
            {
                "number": number,
                "value": value_words(register, contest, each, names or {}),
                "who": each.who,
                "when": each.when,
            }
            for number, each in enumerate(contest.values, 1)
        ],
    }
