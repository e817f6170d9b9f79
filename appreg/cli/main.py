"""The command `appreg`: finds the sub-command, loads that one alone, and tells failures as one sentence."""

import os
import sys
from collections.abc import Sequence
from contextlib import suppress
from importlib import import_module
from typing import TYPE_CHECKING, Final, Protocol, cast

from appreg import __version__
from appreg.cli.commands import COMMANDS
from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.outlet import OutputLost, hold_standard_streams
from appreg.errors import AppregError, FileThere
from appreg.progress import Stopped

if TYPE_CHECKING:
    import argparse

    from appreg.cli.shapes.keeping_shapes import ErrorAnswer

_STOPPED: Final = "Stopped before its end."
_OPEN_UI: Final = "appreg.cli.open_ui"


class CommandModule(Protocol):
    """What a module of a sub-command offers."""

    def add_options(self, parser: "argparse.ArgumentParser") -> None:
        """Declare the options."""

    def run(self, args: "argparse.Namespace", console: Console) -> int:
        """Do it; returns the exit code."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; returns its exit code."""
    words = list(sys.argv[1:] if argv is None else argv)
    hold_standard_streams()
    console = Console()
    try:
        code = _run_and_tell(words, console)
        console.flush()
    except OutputLost as problem:
        console.abandon()
        console.complain(str(problem))
        return problem.exit_code
    except AppregError as problem:
        console.complain(str(problem))
        return problem.exit_code
    except KeyboardInterrupt:
        console.complain(_STOPPED)
        return ExitCode.INCOMPLETE
    return ExitCode.FOUND_WRONG if console.found_damage and code == ExitCode.FINE else code


def _run_and_tell(words: list[str], console: Console) -> int:
    """Run it; what went wrong is told as JSON where that was asked for, and leaves as an AppregError alone."""
    try:
        return _run(words, console)
    except OutputLost:
        raise
    except AppregError as problem:
        _tell(problem, words, console)
        raise
    except KeyboardInterrupt as interrupt:
        stopped = Stopped(_STOPPED)
        _tell(stopped, words, console)
        raise stopped from interrupt
    except Exception as fault:  # the last resort: no traceback, which would print what records hold
        met = _met(fault)
        _tell(met, words, console)
        raise met from fault


def _tell(problem: AppregError, words: list[str], console: Console) -> None:
    options = words[: words.index("--")] if "--" in words else words
    if "--json" in options:
        with suppress(OutputLost):  # its sentence comes on standard error, whatever this one takes
            console.json(_error(problem))


def _met(fault: Exception) -> AppregError:
    from appreg.tasks.items.report_fault import fault_met  # noqa: PLC0415 - never needed where all goes well

    kept = "What was saved is kept."
    return fault_met(fault, os.environ, doing="the command was not finished", kept=kept)


def _run(words: list[str], console: Console) -> int:
    if words == ["--version"]:
        console.line(f"appreg {__version__}")
        return ExitCode.FINE
    # Only from here on: the version is told before anything is parsed.
    from appreg.cli.msgspec_alone import load_msgspec_alone  # noqa: PLC0415
    from appreg.cli.words_parser import command_in, parser_for, refuse_half_characters  # noqa: PLC0415

    load_msgspec_alone()
    name = command_in(words)
    module = _load(COMMANDS[name][0] if name in COMMANDS else _OPEN_UI)
    try:
        args = parser_for(words, COMMANDS, module.add_options).parse_args(words)
    except SystemExit as done:  # --help and --version, which argparse has printed
        return int(done.code or 0)
    refuse_half_characters(args)
    return _done(module, args, console)


def _done(module: "CommandModule", args: "argparse.Namespace", console: Console) -> int:
    try:
        return module.run(args, console)
    except FileThere as problem:
        if "force" not in args:
            raise
        raise FileThere(f"{str(problem).removesuffix('.')}, or add --force.") from problem


def _error(problem: AppregError) -> "ErrorAnswer":
    """What is told in a sentence, for whoever asked for JSON."""
    return {
        "format": "appreg.error",
        "version": 1,
        "error": str(problem),
        "field": (getattr(problem, "field", "") or None),
        "exit_code": int(problem.exit_code),
    }


def _load(module: str) -> CommandModule:
    return cast("CommandModule", import_module(module))
