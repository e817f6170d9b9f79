"""`appreg`: open the register on the screen."""

import argparse
import os
from pathlib import Path

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.operator_name import operator_name


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare nothing: the command without a name has no options of its own."""


def run(args: argparse.Namespace, console: Console) -> int:
    """Open the register, creating it on first use."""
    from appreg.tasks.locate_register import register_path  # noqa: PLC0415 - loaded when it runs

    open_on_screen(register_path(args.register, os.environ), console)
    return ExitCode.FINE


def open_on_screen(path: Path, console: Console) -> None:
    """Show the register until the person leaves."""
    from appreg.clock import local_today  # noqa: PLC0415
    from appreg.tasks.locate_register import open_or_create  # noqa: PLC0415
    from appreg.tasks.seed_categories import seed_new_register  # noqa: PLC0415
    from appreg.ui.app import AppregApp  # noqa: PLC0415 - Textual costs every other command dearly

    console.flush()
    who = operator_name()
    with open_or_create(path) as register:
        seed_new_register(register, who)
        AppregApp(register, today=local_today(), who=who).run()
