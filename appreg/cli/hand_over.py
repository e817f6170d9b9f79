"""`appreg hand-over`: one file with a site's records, to be read, taken into another register, and taken back."""

import argparse
import os
from pathlib import Path
from typing import TYPE_CHECKING, Final

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.errors import UsageRefused

if TYPE_CHECKING:
    from collections.abc import Iterator

    from appreg.cli.shapes.keeping_shapes import HandedOverAnswer
    from appreg.tasks.keeping.hand_over import HandedOver

_FIRST: Final = ("appliance", "inspection", "issued_document")
"""What is told first, and always."""


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("file", metavar="FILE", help="the file to write; nothing may be there")
    parser.add_argument("--site", required=True, metavar="SITE", help="the site, by name or prefix of its tags")
    parser.add_argument("--passphrase", action="store_true", help="encrypt it for a passphrase, which is asked")
    parser.add_argument("--passphrase-from", metavar="FILE", help="the same, with the first line of a file")
    parser.add_argument("--json", action="store_true", help="write JSON")


def run(args: argparse.Namespace, console: Console) -> int:
    """Write the file, and note in the journal which lines went into it."""
    from appreg.cli.opening import end_writing, opened, site_named  # noqa: PLC0415 - a help text needs no register
    from appreg.cli.operator_name import operator_name  # noqa: PLC0415
    from appreg.cli.passphrases import new_passphrase, passphrase_in  # noqa: PLC0415
    from appreg.tasks.desk.named_file import named_file  # noqa: PLC0415
    from appreg.tasks.keeping.hand_over import hand_over  # noqa: PLC0415

    if args.passphrase and args.passphrase_from is not None:
        raise UsageRefused("--passphrase asks for one, --passphrase-from takes it of a file; give one of the two.")
    out = named_file(args.file, field="FILE")
    with opened(args, console, writes=True) as register:
        site = site_named(register, args.site)
        passphrase = ""
        if args.passphrase_from is not None:
            passphrase = passphrase_in(Path(args.passphrase_from))
        elif args.passphrase:
            passphrase = new_passphrase()
        with console.progress("handing over and checking") as progress:
            handed = hand_over(
                register,
                operator_name(),
                site.uid,
                out,
                passphrase=passphrase,
                environ=os.environ,
                progress=progress,
            )
        end_writing(register, console)
    if args.json:
        console.json(_answer(handed))
    else:
        for sentence in _sentences(handed):
            console.line(sentence)
    return ExitCode.FINE


def _sentences(handed: "HandedOver") -> "Iterator[str]":
    from appreg.core.values.dates_in_words import date_words  # noqa: PLC0415 - a help text needs none

    records = {kind: handed.file.records.get(kind, 0) for kind in _FIRST} | handed.file.records
    counts = ", ".join(f"{count} × {kind.replace('_', ' ')}" for kind, count in records.items())
    sealed = "encrypted" if handed.encrypted else "not encrypted: whoever has the file can read it"
    yield f"{handed.out}: {handed.site.name}, {counts}; {sealed}."
    for kind, count in handed.file.left_out.items():
        yield f"left out: {count} × {kind.replace('_', ' ')}, which tell of another client"
    for called, on in handed.left:
        yield f"left: {called} left {handed.site.name} on {date_words(on)}; what was recorded of it there is told, and that it left"
    yield f"Seal of all that is in it: {handed.seal}"
    yield f"Read it with: appreg --register {handed.out}; take it in, or back, with: appreg merge {handed.out}"


def _answer(handed: "HandedOver") -> "HandedOverAnswer":
    return {
        "format": "appreg.handed-over",
        "version": 1,
        "file": str(handed.out),
        "site": handed.site.name,
        "encrypted": handed.encrypted,
        "records": {kind.replace("_", " "): count for kind, count in handed.file.records.items()},
        "left_out": {kind.replace("_", " "): count for kind, count in handed.file.left_out.items()},
        "left": [{"item": called, "on": on.isoformat()} for called, on in handed.left],
        "lines": handed.file.lines,
        "seal": handed.seal,
    }
