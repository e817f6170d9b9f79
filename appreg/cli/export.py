"""`appreg export`: a whole register as a file from which an equal one can be made."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.opening import opened
from appreg.cli.typed_options import FORCE_HELP
from appreg.errors import InputRefused

if TYPE_CHECKING:
    from appreg.cli.shapes.keeping_shapes import ExportedAnswer


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("file", metavar="FILE", help="the file to write: NAME.jsonl is the whole register, lossless")
    parser.add_argument("--force", action="store_true", help=FORCE_HELP)
    parser.add_argument("--json", action="store_true", help="write JSON")


def run(args: argparse.Namespace, console: Console) -> int:
    """Write it; exit code 1 where the register is not sound."""
    from appreg.exchange.register_lines import LINES_END  # noqa: PLC0415 - a help text needs none
    from appreg.tasks.desk.named_file import named_file  # noqa: PLC0415 - the same

    out = named_file(args.file, field="FILE")
    if out.suffix.lower() != LINES_END:
        raise InputRefused(f"{out} is of no known form; let its name end in {LINES_END}.", subject="FILE")
    return _export_lines(args, console, out)


def _export_lines(args: argparse.Namespace, console: Console, out: Path) -> int:
    from appreg.tasks.keeping.export_lines import export_lines  # noqa: PLC0415 - a help text needs none

    with opened(args, console) as register, console.progress("checking and writing") as progress:
        made = export_lines(register, out, replace=args.force, progress=progress)
    if args.json:
        answer: ExportedAnswer = {
            "format": "appreg.exported",
            "version": 1,
            "file": str(out),
            "form": "register-lines",
            "rows": made.lines,
        }
        console.json(answer)
        return ExitCode.FINE
    console.line(
        f"{out}: the whole register, checked; {made.lines} lines, up to line {made.end.line} of the journal "
        f"({made.end.time_in_words})."
    )
    console.line(f"It makes an equal one: appreg --register NEW import {out}")
    return ExitCode.FINE
