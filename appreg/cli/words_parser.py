"""The parser of what was typed after `appreg`; it knows the options of the command that is asked for alone."""

import argparse
import os
import sys
from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final, NoReturn

from appreg import __version__
from appreg.core.values.text import has_half_characters
from appreg.errors import UsageRefused

_USUAL_WIDTH: Final = 80
_LEAST_WIDTH: Final = 24
_REGISTER_HELP: Final = "the register file (default: $APPREG_REGISTER, else the one in your data folder)"


class _Formatter(argparse.HelpFormatter):
    """Leaves the lines of examples as they are."""

    def _fill_text(self, text: str, width: int, indent: str) -> str:
        if text.startswith("examples:"):
            return text
        return super()._fill_text(text, width, indent)


class Parser(argparse.ArgumentParser):
    """A parser that tells bad usage as one sentence instead of ending the process."""

    def _get_formatter(self) -> argparse.HelpFormatter:
        # Left to itself it measures the terminal with a module that loads what packs archives, for every option.
        return _Formatter(self.prog, width=max(_columns(), _LEAST_WIDTH) - 2)

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
            if isinstance(word, str) and name != "register" and has_half_characters(word):
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
            if {"-h", "--help"} & set(words):
                from appreg.cli.examples import examples_text  # noqa: PLC0415 - only help shows them

                command.epilog = examples_text(name)
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
