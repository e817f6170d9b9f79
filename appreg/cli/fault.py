"""`appreg fault`: what somebody who uses an item found wrong; it goes out of service at once."""

import argparse
from typing import TYPE_CHECKING

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.json_values import item_name
from appreg.cli.opening import end_writing, opened
from appreg.cli.operator_name import operator_name
from appreg.cli.typed_options import day
from appreg.clock import local_today
from appreg.tasks.keeping.begin_work import Search

if TYPE_CHECKING:
    from appreg.cli.shapes.item_shapes import FaultAnswer


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("tag", metavar="TAG", help="the tag in any case, the key, or what the label's code says")
    parser.add_argument("what", metavar="WHAT", help="what is wrong, in a few words")
    parser.add_argument("--found-by", default="", metavar="NAME", help="who found it")
    parser.add_argument("--on", type=day, metavar="DATE", help="on this day (default: today)")
    parser.add_argument("--json", action="store_true", help="write JSON")


def run(args: argparse.Namespace, console: Console) -> int:
    """Note it and withdraw the item; exit code 1 where no item has that tag."""
    from appreg.tasks.items.find_items import item_meant  # noqa: PLC0415 - a help text needs no register
    from appreg.tasks.items.note_fault import note_fault  # noqa: PLC0415

    with opened(args, console, writes=True, search=Search.WHOLE) as register:
        item = note_fault(
            register,
            operator_name(),
            appliance=item_meant(register, args.tag).uid,
            what=args.what,
            found_by=args.found_by,
            on=args.on or local_today(),
        )
        end_writing(register, console)
    if args.json:
        answer: FaultAnswer = {
            "format": "appreg.fault",
            "version": 1,
            **item_name(item),
            "state": item.state,
            "notes": item.notes,
        }
        console.json(answer)
    else:
        console.line(f"{item.tag} {item.name} is {item.state}: keep it apart until mended, inspected and tested.")
    return ExitCode.FINE
