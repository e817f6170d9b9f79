"""`appreg completion`: what makes a shell complete commands, options and files."""

import argparse
from typing import Final

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode

SHELLS: Final = ("bash", "zsh", "fish")
_FILES: Final = frozenset({"FILE", "FROM", "TO", "FILE|KIND"})


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("shell", choices=SHELLS, help="the shell that is to complete")


def run(args: argparse.Namespace, console: Console) -> int:
    """Write the shell's own words; nothing is installed."""
    import shtab  # noqa: PLC0415 - only here

    from appreg.cli.whole_parser import commands_of, options_of, whole_parser  # noqa: PLC0415

    parser = whole_parser()
    for each in (parser, *commands_of(parser).values()):
        for action in options_of(each):
            if action.metavar in _FILES and action.nargs != 0:
                action.complete = shtab.FILE  # type: ignore[attr-defined]
    for line in shtab.complete(parser, shell=args.shell).splitlines():
        console.line(line)
    return ExitCode.FINE
