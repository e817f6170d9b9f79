"""`appreg verify`: the file, its references, its journal, and that journal and tables agree."""

import argparse

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.opening import opened
from appreg.tasks.begin_work import Search


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("--json", action="store_true", help="write JSON")


def run(args: argparse.Namespace, console: Console) -> int:
    """Check; exit code 1 where anything is wrong, each problem a line that names its place."""
    from appreg.tasks.verify_register import verify_register  # noqa: PLC0415 - a help text needs no register

    with opened(args, console, search=Search.NONE) as register, console.progress("checking") as progress:
        problems = verify_register(register, progress)
        path = str(register.path)
    if args.json:
        console.json(
            {
                "register": path,
                "sound": not problems,
                "problems": [{"place": each.place, "problem": each.sentence} for each in problems],
            }
        )
    elif problems:
        for each in problems:
            console.line(f"{each.place}: {each.sentence}")
    else:
        console.line(f"{path}: sound; the journal is unbroken and agrees with the tables.")
    return ExitCode.FOUND_WRONG if problems else ExitCode.FINE
