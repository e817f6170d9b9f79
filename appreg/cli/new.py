"""`appreg new`: a new register, where nothing is yet."""

import argparse
import os
from pathlib import Path
from typing import TYPE_CHECKING

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.operator_name import operator_name

if TYPE_CHECKING:
    from appreg.cli.shapes.keeping_shapes import NewRegisterAnswer


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("file", metavar="FILE", help="where to make it, a file or postgresql://…; nothing may be there")
    parser.add_argument("--json", action="store_true", help="write JSON")


def run(args: argparse.Namespace, console: Console) -> int:
    """Make it and say where it is; exit code 2 where anything is there."""
    from appreg.tasks.desk.locate_register import named_place  # noqa: PLC0415
    from appreg.tasks.keeping.make_new_register import make_new_register  # noqa: PLC0415
    from appreg.tasks.keeping.remember_seals import note_made_anew  # noqa: PLC0415

    place = named_place(args.file, os.environ, field="FILE")
    categories = make_new_register(place, operator_name())
    if isinstance(place, Path):
        note_made_anew(place, os.environ)
    if args.json:
        answer: NewRegisterAnswer = {
            "format": "appreg.new-register",
            "version": 1,
            "register": str(place),
            "categories": categories,
        }
        console.json(answer)
    else:
        console.line(f"The new register is {place}")
        console.line(f"{categories} categories · no sites yet")
        console.line(f"Open it with: appreg --register {place}")
    return ExitCode.FINE
