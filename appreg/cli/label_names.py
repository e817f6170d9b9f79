"""The part of `appreg print` that is of labels without an inspection: tags printed beforehand, and locations."""

import argparse
from typing import TYPE_CHECKING, Final

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.label_sheets import tell_glyphs, tell_printed, used_places
from appreg.cli.label_stocks import offset_chosen, stock_chosen
from appreg.cli.opening import site_named
from appreg.cli.paper_printing import print_paper_written, ready_order
from appreg.clock import local_today
from appreg.core.values.counted_words import counted
from appreg.errors import UsageRefused

if TYPE_CHECKING:
    from appreg.register.opening.register_file import Register
    from appreg.tasks.documents.print_labels import LeftOut

_OF_INSPECTIONS: Final = (
    *("next_date", "again", "tags", "order", "together", "preview", "printed", "confirm", "spoiled", "visit"),
)


def refuse_other_labels(args: argparse.Namespace) -> None:
    """Refuse what only labels of inspections take, and what such labels lack."""
    one = "--beforehand" if args.beforehand else "--locations"
    if args.beforehand and args.locations:
        raise UsageRefused("Print tags beforehand and labels of locations one after the other.")
    if args.beforehand and args.room:
        raise UsageRefused("--room goes with labels of a location, not with tags that no item bears yet.")
    if not args.site:
        raise UsageRefused(f"Say of which site, with --site NAME: {one} is of one site.")
    for name in _OF_INSPECTIONS:
        if getattr(args, name):
            raise UsageRefused(f"--{name.replace('_', '-')} is of labels of inspections, and does not go with {one}.")


def print_name_labels(register: "Register", args: argparse.Namespace, console: Console) -> int:
    """Write the sheets; the register is only read."""
    from appreg.tasks.documents.print_names import (  # noqa: PLC0415 - a help text needs no drawing
        labels_beforehand,
        labels_of_locations,
        print_names,
    )
    from appreg.tasks.documents.send_to_printer import PrintedPaper  # noqa: PLC0415

    order = ready_order(register, args)
    site = site_named(register, args.site).uid
    left_out: tuple[LeftOut, ...] = ()
    if args.beforehand:
        labels, left_out = labels_beforehand(register, site=site, tags=args.beforehand)
    else:
        labels = labels_of_locations(register, site=site, room=args.room or "")
    with console.progress("drawing labels") as progress:
        printed = print_names(
            labels,
            out=args.output,
            replace_file=args.force,
            stock=stock_chosen(args),
            offset=offset_chosen(args, order.printer if order is not None else ""),
            start=1 if args.start is None else args.start,
            used=used_places(args),
            left_out=left_out,
            today=local_today(),
            progress=progress,
        )
    tell_glyphs(console, printed.missing_glyphs)
    for sentence in (*printed.lacking, *(each.sentence for each in printed.left_out)):
        console.complain(sentence)
    job = None
    if order is not None:
        paper = PrintedPaper(file=printed.path, sheets=printed.sheets, what=_what(printed.count, args), site=site)
        job = print_paper_written(register, paper, order)
    tell_printed(printed, job, args, console)
    return ExitCode.FINE


def _what(count: int, args: argparse.Namespace) -> str:
    return f"{counted(count, 'label')} {'with tags beforehand' if args.beforehand else 'of locations'}"
