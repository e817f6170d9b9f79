"""`appreg copy`: a whole register from a file into a database, or the other way, checked on both sides."""

import argparse
import os
from pathlib import Path
from typing import TYPE_CHECKING, Final

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode

if TYPE_CHECKING:
    from appreg.cli.shapes.keeping_shapes import CopiedAnswer

_ONE_ONLY: Final = "Go on with one of the two only, or take in later with `appreg merge` what was saved in the other."


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("source", metavar="FROM", help="the register to copy, a file or postgresql://…")
    parser.add_argument("target", metavar="TO", help="where to; nothing may be there")
    parser.add_argument("--json", action="store_true", help="write JSON")


def run(args: argparse.Namespace, console: Console) -> int:
    """Copy it; exit code 1 where one of the two is not sound, 2 where anything is at the other place."""
    from appreg.cli.opening import opened  # noqa: PLC0415 - a help text needs no register
    from appreg.tasks.desk.locate_register import named_place  # noqa: PLC0415
    from appreg.tasks.keeping.copy_register import copy_register  # noqa: PLC0415
    from appreg.tasks.keeping.remember_seals import note_made_anew  # noqa: PLC0415

    source = named_place(args.source, os.environ, field="FROM")
    target = named_place(args.target, os.environ, field="TO")
    with opened(args, console, place=source) as register, console.progress("copying and checking") as progress:
        copied = copy_register(register, target, progress=progress)
    if isinstance(target, Path):
        note_made_anew(target, os.environ)
    if args.json:
        answer: CopiedAnswer = {
            "format": "appreg.copied",
            "version": 1,
            "register": str(target),
            "line": copied.end.line,
            "last_saved": copied.end.time,
            "sound": True,
            "advice": [_ONE_ONLY],
        }
        console.json(answer)
        return ExitCode.FINE
    console.line(
        f"{target}: all of {source}, checked, up to line {copied.end.line} of the journal ({copied.end.time_in_words})."
    )
    console.line(f"Open it with: appreg --register {target}")
    console.line(_ONE_ONLY)
    return ExitCode.FINE
