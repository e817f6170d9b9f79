"""The manual page in roff, section 1: every command with its options and examples."""

import argparse
from collections.abc import Iterator
from typing import Final

from appreg.cli.commands import COMMANDS
from appreg.cli.examples import EXAMPLES
from appreg.cli.whole_parser import commands_of, options_of, whole_parser

_EXITS: Final = (
    ("0", "fine; a pass"),
    ("1", "something is wrong: a failure, a damaged record, nothing that answers, a printed label to be destroyed"),
    ("2", "bad usage or input"),
    ("3", "incomplete: something needed is missing, or was left half-filled"),
    ("128 + n", "signal n ended the screen; what was typed on the Bench is kept"),
)
_VARIABLES: Final = (
    ("APPREG_REGISTER", "the register where --register names none"),
    ("APPREG_SETTINGS", "the file of settings"),
    ("APPREG_WHO", "the name written into the journal"),
)


def manual_page() -> str:
    """The page; its date is left out, so that the same program always writes the same."""
    parser = whole_parser()
    return "\n".join(_lines(parser)) + "\n"


def _lines(parser: argparse.ArgumentParser) -> Iterator[str]:
    yield '.TH APPREG 1 "" "" "User commands"'
    yield from (".SH NAME", r"appreg \- a register of portable appliances")
    yield from (".SH SYNOPSIS", r"\fBappreg\fR [\fB\-\-register\fR \fIFILE\fR] [\fICOMMAND\fR \fI…\fR]")
    yield from (".SH DESCRIPTION", _plain(str(parser.description)), ".PP", _plain(str(parser.epilog)))
    yield ".SH COMMANDS"
    for name, command in commands_of(parser).items():
        yield from _command(name, command)
    yield from (".SH EXIT STATUS", *_terms(_EXITS))
    yield from (".SH ENVIRONMENT", *_terms(_VARIABLES))


def _command(name: str, command: argparse.ArgumentParser) -> Iterator[str]:
    words = " ".join(_named(each) for each in options_of(command) if not each.option_strings)
    yield f".SS {_plain(f'appreg {name} {words}'.strip())}"
    yield _plain(f"{COMMANDS[name][1].capitalize()}.")
    for action in options_of(command):
        head = ", ".join(action.option_strings) if action.option_strings else ""
        value = _named(action) if action.nargs != 0 else ""
        yield from (".TP", rf"\fB{_plain(head)}\fR \fI{_plain(value)}\fR".strip(), _plain(_help(action)))
    for line, what in EXAMPLES.get(name, ()):
        yield from (".PP", ".EX", f"$ {_plain(line)}", ".EE", _plain(f"{what[0].upper()}{what[1:]}."))


def _named(action: argparse.Action) -> str:
    """What stands for a value."""
    if action.choices is not None and action.metavar is None:
        return "|".join(map(str, action.choices))
    return str(action.metavar or action.dest.upper())


def _help(action: argparse.Action) -> str:
    return (action.help or "").replace("%%", "%")


def _terms(terms: tuple[tuple[str, str], ...]) -> Iterator[str]:
    for term, what in terms:
        yield from (".TP", rf"\fB{_plain(term)}\fR", _plain(what))


def _plain(text: str) -> str:
    """A text that roff takes for nothing else: dashes that stay dashes, no request at the start of a line."""
    safe = text.replace("\\", r"\e").replace("-", r"\-")
    return rf"\&{safe}" if safe.startswith((".", "'")) else safe
