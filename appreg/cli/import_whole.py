"""`appreg import FILE.jsonl`: a whole register, made where none stands."""

import argparse
import os
from pathlib import Path
from typing import TYPE_CHECKING

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode

if TYPE_CHECKING:
    from appreg.cli.shapes.keeping_shapes import ImportedRegisterAnswer


def import_register(args: argparse.Namespace, console: Console, source: Path) -> int:
    """Make it at the place that `--register` names; exit code 1 where what the file holds is not sound."""
    from appreg.tasks.desk.locate_register import register_file, register_place  # noqa: PLC0415 - a help needs none
    from appreg.tasks.keeping.import_lines import import_lines  # noqa: PLC0415 - the same
    from appreg.tasks.keeping.remember_seals import note_made_anew  # noqa: PLC0415 - the same

    place = register_file(
        register_place(args.register, os.environ),
        because="a whole register is imported into a file, which `appreg copy` takes into a database",
    )
    with console.progress("reading and checking") as progress:
        end = import_lines(source, place, progress=progress)
    note_made_anew(place, os.environ)
    if args.json:
        answer: ImportedRegisterAnswer = {
            "format": "appreg.imported-register",
            "version": 1,
            "register": str(place),
            "line": end.line,
            "last_saved": end.time,
        }
        console.json(answer)
        return ExitCode.FINE
    console.line(f"{place}: all of {source}, checked, up to line {end.line} of the journal ({end.time_in_words}).")
    console.line("Go on with one of the two only, or take in later with `appreg merge` what was saved in the other.")
    return ExitCode.FINE
