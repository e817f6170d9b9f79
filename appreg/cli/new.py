"""`appreg new`: a new register, where nothing is yet."""

import argparse
import os

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.operator_name import operator_name


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("file", metavar="FILE", help="where to make it; nothing may be there")
    parser.add_argument("--json", action="store_true", help="write JSON")


def run(args: argparse.Namespace, console: Console) -> int:
    """Make it and say where it is; exit code 2 where anything is there."""
    from appreg.tasks.make_new_register import make_new_register  # noqa: PLC0415 - a help text needs no register
    from appreg.tasks.named_file import named_file  # noqa: PLC0415
    from appreg.tasks.remember_seals import note_made_anew  # noqa: PLC0415

    path = named_file(args.file, field="FILE")
    categories = make_new_register(path, operator_name())
    note_made_anew(path, os.environ)
    if args.json:
        console.json({"register": str(path), "categories": categories})
    else:
        console.line(f"The new register is {path}")
        console.line(f"{categories} categories · no sites yet")
        console.line(f"Open it with: appreg --register {path}")
    return ExitCode.FINE
