"""The command `appreg`: finds the sub-command, loads that one alone, and tells failures as one sentence."""

import os
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import TYPE_CHECKING, Final, Protocol, cast

from appreg import __version__
from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.outlet import OutputLost, hold_standard_streams
from appreg.errors import AppregError, FileThere

if TYPE_CHECKING:
    import argparse


import argparse
from collections.abc import Callable, Mapping
from typing import Any, NoReturn

from appreg.errors import UsageRefused

_USUAL_WIDTH: Final = 80
_LEAST_WIDTH: Final = 24
_REGISTER_HELP: Final = "the register file (default: $APPREG_REGISTER, else the one in your data folder)"


class Parser(argparse.ArgumentParser):
    """A parser that tells bad usage as one sentence instead of ending the process."""

    def _get_formatter(self) -> argparse.HelpFormatter:
        # Left to itself it measures the terminal with a module that loads what packs archives, for every option.
        return argparse.HelpFormatter(self.prog, width=max(_columns(), _LEAST_WIDTH) - 2)

    def _get_values(self, action: argparse.Action, arg_strings: list[str]) -> Any:
        # Some versions of argparse take the value of `--site=--` for none and hand on an empty list.
        if action.option_strings and arg_strings == ["--"]:
            raise argparse.ArgumentError(action, "expected one argument")
        return super()._get_values(action, arg_strings)

    def error(self, message: str) -> NoReturn:
        """Refuse what was typed."""
        raise UsageRefused(f"{message} (see {self.prog} --help).")


def refuse_half_characters(args: argparse.Namespace) -> None:
    """Raise UsageRefused where a word holds bytes that are no text here; only paths may."""
    for name, value in vars(args).items():
        for word in value if isinstance(value, list) else [value]:
            if isinstance(word, str) and name != "register" and any("\ud800" <= each <= "\udfff" for each in word):
                raise UsageRefused(f"“{word[:40]}” holds bytes that are no text in this terminal; type it anew.")


def _columns() -> int:
    """How many columns help may take."""
    told = os.environ.get("COLUMNS", "")
    if told.isdecimal() and int(told):
        return int(told)
    try:
        return os.get_terminal_size(sys.stdout.fileno()).columns or _USUAL_WIDTH
    except (AttributeError, OSError, ValueError):  # no terminal, or none any more
        return _USUAL_WIDTH


def command_in(words: Sequence[str]) -> str:
    """The sub-command among the words, or an empty text."""
    return words[place] if (place := _place_of_command(words)) < len(words) else ""


def parser_for(
    words: Sequence[str],
    commands: Mapping[str, tuple[str, str]],
    add_options: Callable[[argparse.ArgumentParser], None],
) -> Parser:
    """The parser of these words; of the commands, given with module and summary, one declares its options."""
    parser = Parser(
        prog="appreg",
        description="A register of portable appliances: walk round, inspect, judge, label, plan.",
        epilog="Without a command the register opens on the screen.",
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"appreg {__version__}")
    parser.add_argument("--register", metavar="FILE", help=_REGISTER_HELP)
    # Named here, or argparse formats a usage line to find it, for which it loads what packs archives.
    listed = parser.add_subparsers(dest="command", metavar="COMMAND", parser_class=Parser, prog="appreg")
    name = command_in(words)
    for each, (_, summary) in _listed(words, name, commands).items():
        # A % in a help text would be a format to argparse; none of ours has one.
        command = listed.add_parser(each, help=summary, description=f"{summary.capitalize()}.", allow_abbrev=False)
        if each == name:
            # SUPPRESS: a --register before the command stays in force when none follows it.
            command.add_argument("--register", metavar="FILE", default=argparse.SUPPRESS, help=_REGISTER_HELP)
            add_options(command)
    return parser


def _listed(words: Sequence[str], name: str, commands: Mapping[str, tuple[str, str]]) -> Mapping[str, tuple[str, str]]:
    """The commands the parser must know: all where help or an error would name them, else the one alone."""
    asks_for_help = {"-h", "--help"} & set(words[: _place_of_command(words)])
    return {name: commands[name]} if name in commands and not asks_for_help else commands


def _place_of_command(words: Sequence[str]) -> int:
    """Where the first word stands that is neither an option nor the register's file; their number if none does."""
    after_register = False
    for place, word in enumerate(words):
        if not after_register and not word.startswith("-"):
            return place
        after_register = word == "--register"
    return len(words)


COMMANDS: Final[dict[str, tuple[str, str]]] = {
    "demo": ("appreg.cli.demo", "build a register of three invented sites and open it"),
    "new": ("appreg.cli.new", "make a new register where nothing is yet"),
    "due": ("appreg.cli.due", "list what is overdue, due soon or never inspected"),
    "find": ("appreg.cli.find", "find items by words, tag or the code on a label"),
    "show": ("appreg.cli.show", "show one item with its results"),
    "judge": ("appreg.cli.judge", "judge readings against a rule book, without a register"),
    "interval": ("appreg.cli.interval", "tell how often an item is to be inspected and tested"),
    "plan": ("appreg.cli.plan", "plan the fewest visits that keep nothing overdue"),
    "evidence": ("appreg.cli.evidence", "weigh what inspections say of the intervals of like items"),
    "move": ("appreg.cli.move", "record that an item is issued, comes back or is brought on site"),
    "print": ("appreg.cli.print_paper", "write labels, the site register or a visit's report as PDF"),
    "copy": ("appreg.cli.copy_register", "copy the register into another file, or into a database and back"),
    "backup": ("appreg.cli.backup", "write a whole copy of the register, checked, also while it is in use"),
    "restore": ("appreg.cli.restore", "put a kept copy in the register's place; what stood there is moved aside"),
    "verify": ("appreg.cli.verify", "check the register file, its journal and that both agree"),
}
"""Each sub-command: the module that holds it, and what it does."""

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
        code = _run(words, console)
        console.flush()
    except OutputLost as problem:
        console.abandon()
        console.complain(str(problem))
        return problem.exit_code
    except AppregError as problem:
        console.complain(str(problem))
        return problem.exit_code
    except BrokenPipeError:
        # The reader has gone (say, `| head`): leave quietly, and let nothing flush into the closed pipe.
        console.abandon()
        return ExitCode.FINE
    except KeyboardInterrupt:
        console.complain("Stopped.")
        return ExitCode.FOUND_WRONG
    except Exception as fault:  # noqa: BLE001 - the last resort: no traceback, which would print what records hold
        console.complain(_told(fault))
        return ExitCode.FOUND_WRONG
    return ExitCode.FOUND_WRONG if console.found_damage and code == ExitCode.FINE else code


def _told(fault: Exception) -> str:
    from appreg.tasks.report_fault import fault_met  # noqa: PLC0415 - never needed where all goes well

    kept = "Nothing that was saved is lost, and the register is as it was."
    return str(fault_met(fault, os.environ, doing="the command was not finished", kept=kept))


def _run(words: list[str], console: Console) -> int:
    if words == ["--version"]:
        console.line(f"appreg {__version__}")
        return ExitCode.FINE
    # Only from here on: the version is told before anything is parsed.

    name = command_in(words)
    module = _load(COMMANDS[name][0] if name in COMMANDS else _OPEN_UI)
    try:
        args = parser_for(words, COMMANDS, module.add_options).parse_args(words)
    except SystemExit as done:  # --help and --version, which argparse has printed
        return int(done.code or 0)
    refuse_half_characters(args)
    try:
        return module.run(args, console)
    except FileThere as problem:
        if "force" not in args:
            raise
        raise FileThere(f"{str(problem).removesuffix('.')}, or add --force.") from problem


def _load(module: str) -> CommandModule:
    return cast("CommandModule", import_module(module))
