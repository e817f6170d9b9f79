"""`appreg backup`: a whole copy of the register, checked after it was written."""

import argparse
import os
from typing import TYPE_CHECKING

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.opening import opened
from appreg.clock import system_clock

if TYPE_CHECKING:
    from appreg.cli.shapes.keeping_shapes import BackupAnswer
    from appreg.tasks.keeping.keep_copy import MadeCopy


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument(
        "file", metavar="FILE", nargs="?", help="the file to write, not there yet (default: among the kept copies)"
    )
    parser.add_argument("--json", action="store_true", help="write JSON")


def run(args: argparse.Namespace, console: Console) -> int:
    """Write it; exit code 1 where something is wrong in the register, and so in its copy."""
    from appreg.tasks.desk.keep_settings import load_settings, settings_path  # noqa: PLC0415
    from appreg.tasks.desk.named_file import named_file  # noqa: PLC0415
    from appreg.tasks.keeping.keep_copy import keep_copy, problem_words, write_backup  # noqa: PLC0415 - a help needs none

    out = None if args.file is None else named_file(args.file, field="FILE")
    settings = load_settings(settings_path(os.environ))
    with opened(args, console) as register, console.progress("copying and checking") as progress:
        if out is not None:
            made = write_backup(register, out, progress=progress)
        else:
            made = keep_copy(register, settings=settings, now=system_clock(), progress=progress)
    for sentence in made.said:
        console.complain(sentence)
    if args.json:
        console.json(_as_json(made))
    elif made.problems:
        console.line(problem_words(made))
    else:
        console.line(
            f"{made.path}: a whole copy, checked; {made.size} bytes, up to line {made.end.line} of the journal "
            f"({made.end.time_in_words})."
        )
    return ExitCode.FOUND_WRONG if made.problems else ExitCode.FINE


def _as_json(made: "MadeCopy") -> "BackupAnswer":
    return {
        "format": "appreg.backup",
        "version": 1,
        "file": str(made.path),
        "bytes": made.size,
        "line": made.end.line,
        "last_saved": made.end.time,
        "sound": not made.problems,
        "problems": [{"place": each.place, "problem": each.sentence} for each in made.problems],
    }
