"""The parser of every command with all its options, for what describes them: completion and the manual page."""

import argparse
from importlib import import_module

from appreg.cli.commands import COMMANDS
from appreg.cli.words_parser import parser_for


def whole_parser() -> argparse.ArgumentParser:
    """All of it; loading every command takes a while."""
    parser = parser_for([], COMMANDS, lambda _: None)
    for name, command in commands_of(parser).items():
        command.add_argument("--register", metavar="FILE", help="the register file or postgresql://…")
        import_module(COMMANDS[name][0]).add_options(command)
    return parser


def commands_of(parser: argparse.ArgumentParser) -> dict[str, argparse.ArgumentParser]:
    """The parsers of the commands, by name."""
    listed = next(each for each in parser._actions if isinstance(each, argparse._SubParsersAction))  # noqa: SLF001 - argparse tells nobody
    return dict(listed.choices)


def options_of(parser: argparse.ArgumentParser) -> list[argparse.Action]:
    """What may follow, the help option left out."""
    return [each for each in parser._actions if each.dest not in {"help", "command"}]  # noqa: SLF001 - argparse tells nobody
