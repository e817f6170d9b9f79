"""`appreg manual`: the manual page, made from the parsers."""

import argparse

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare nothing: the page has one form."""
    del parser


def run(args: argparse.Namespace, console: Console) -> int:
    """Write the page as roff, as `man -l -` reads it."""
    del args
    from appreg.cli.manual_page import manual_page  # noqa: PLC0415 - it loads every command

    for line in manual_page().splitlines():
        console.line(line)
    return ExitCode.FINE
