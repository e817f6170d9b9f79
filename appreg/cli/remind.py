"""`appreg remind`: a draft message to each person who sees to sites, with what is due there; nothing is sent."""

import argparse
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.opening import opened, site_uid
from appreg.cli.operator_name import operator_name
from appreg.cli.typed_options import FORCE_HELP, whole_number
from appreg.clock import local_today, system_clock
from appreg.core.values.counted_words import counted

if TYPE_CHECKING:
    from collections.abc import Sequence

    from appreg.cli.shapes.keeping_shapes import RemindersAnswer
    from appreg.tasks.documents.draft_reminders import Reminder


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument(
        "-o", "--output", type=Path, metavar="FOLDER", required=True, help="where the messages are written, one a file"
    )
    parser.add_argument("--within", type=whole_number, metavar="DAYS", default=60, help="how far ahead (default: 60)")
    parser.add_argument("--site", metavar="SITE", help="one site alone: its name, prefix or key")
    parser.add_argument("--from", dest="sender", metavar="ADDRESS", help="who the messages are from")
    parser.add_argument("--force", action="store_true", help=FORCE_HELP)
    parser.add_argument("--json", action="store_true", help="write JSON")


def run(args: argparse.Namespace, console: Console) -> int:
    """Write them; exit code 0 also where nobody is to be reminded."""
    from appreg.exchange.draft_message import address_typed  # noqa: PLC0415 - a help text needs no register
    from appreg.tasks.documents.draft_reminders import draft_reminders  # noqa: PLC0415

    sender = address_typed(args.sender) if args.sender is not None else ""
    with opened(args, console) as register, console.progress("writing messages") as progress:
        written = draft_reminders(
            register,
            operator_name(),
            folder=args.output,
            within_days=args.within,
            site=site_uid(register, args.site),
            sender=sender,
            replace=args.force,
            today=local_today(),
            written=datetime.fromtimestamp(system_clock() / 1000, tz=UTC),
            progress=progress,
        )
    if args.json:
        console.json(_answer(written))
        return ExitCode.FINE
    for each in written:
        to = f"to {each.name}, {each.address}" if each.address else f"for {each.name}, whose address you add"
        console.line(f"{each.path}: {to}; {counted(each.items, 'item')} at {', '.join(each.sites)}.")
    sent = "Nothing is sent: open each in your mail program, read it and send it."
    console.line(sent if written else f"Nothing is due within {args.within} days: no message is written.")
    return ExitCode.FINE


def _answer(written: "Sequence[Reminder]") -> "RemindersAnswer":
    return {
        "format": "appreg.reminders",
        "version": 1,
        "messages": [
            {
                "file": str(each.path),
                "for": each.name,
                "address": each.address or None,
                "sites": list(each.sites),
                "items": each.items,
            }
            for each in written
        ],
    }
