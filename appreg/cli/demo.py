"""`appreg demo`: three invented sites in a register of their own, opened on the screen."""

import argparse
import os
from pathlib import Path
from typing import TYPE_CHECKING, Final

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.open_ui import open_on_screen
from appreg.clock import local_today
from appreg.errors import RegisterKept

if TYPE_CHECKING:
    from appreg.cli.shapes.keeping_shapes import DemoAnswer
    from appreg.tasks.keeping.build_demo import DemoSummary

DEMO_NAME: Final = "demo.sqlite"


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("--no-ui", action="store_true", help="build it and say what it holds, without opening it")
    parser.add_argument("--json", action="store_true", help="with --no-ui: write JSON")


def run(args: argparse.Namespace, console: Console) -> int:
    """Build the demo anew, then open it; one that somebody works in is opened as it is."""
    from appreg.cli.screen_terminal import need_terminal  # noqa: PLC0415
    from appreg.tasks.desk.locate_register import named_place  # noqa: PLC0415
    from appreg.tasks.desk.own_folders import data_folder  # noqa: PLC0415
    from appreg.tasks.keeping.build_demo import build_demo  # noqa: PLC0415 - a help text needs no register
    from appreg.tasks.keeping.keep_chains import note_file_made_here  # noqa: PLC0415
    from appreg.tasks.keeping.remember_seals import note_made_anew  # noqa: PLC0415

    if not args.no_ui:
        need_terminal(os.environ)
    named = named_place(args.register, os.environ, field="--register") if args.register else None
    path = named or data_folder(os.environ) / DEMO_NAME
    told: tuple[str, ...] = ()
    try:
        summary = build_demo(path, today=local_today())
    except RegisterKept as kept:
        if args.no_ui:
            raise
        told = (str(kept),)
    else:
        if isinstance(path, Path):
            note_made_anew(path, os.environ)
            note_file_made_here(path, os.environ)
        if args.no_ui:
            _tell(summary, console, as_json=args.json)
            return ExitCode.FINE
    return open_on_screen(path, console, told=told)


def _tell(summary: "DemoSummary", console: Console, *, as_json: bool) -> None:
    if as_json:
        answer: DemoAnswer = {
            "format": "appreg.demo",
            "version": 1,
            "register": str(summary.path),
            "sites": summary.sites,
            "items": summary.items,
            "inspections": summary.inspections,
            "failed": summary.failed,
            "overdue": summary.overdue,
            "overdue_inspections": summary.overdue_inspections,
            "never_inspected": summary.never,
            "waiting_labels": summary.waiting_labels,
        }
        console.json(answer)
        return
    from appreg.core.values.counted_words import counted, items_and_inspections  # noqa: PLC0415 - only where it is told

    console.line(f"The demo register is {summary.path}")
    console.line(
        f"{summary.sites} sites · {summary.items} items · {summary.inspections} inspections · {summary.failed} items failed · "
        f"{items_and_inspections(summary.overdue, summary.overdue_inspections)} overdue · "
        f"{counted(summary.never, 'item')} never inspected · {summary.waiting_labels} labels waiting"
    )
    console.line(f"Open it with: appreg --register {summary.path}")
