"""The part of `appreg print` that is of stock and printers: what there is to print on, and how far a printer is off."""

import argparse
import os
from typing import TYPE_CHECKING

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.paper_printing import job_as_json, job_words, print_paper_written, ready_order
from appreg.clock import local_today

if TYPE_CHECKING:
    from appreg.cli.shapes.keeping_shapes import DocumentAnswer, StocksAnswer
    from appreg.core.values.print_offsets import Offset
    from appreg.paper.labels.label_stock import Stock
    from appreg.register.opening.register_file import Register


def stock_chosen(args: argparse.Namespace) -> "Stock":
    """The stock that was named, or the usual one; raises InputRefused naming those there are."""
    from appreg.paper.labels.stock_reading import USUAL_STOCK  # noqa: PLC0415 - a help text needs no stock
    from appreg.tasks.desk.find_stocks import stocks_at_hand  # noqa: PLC0415

    return stocks_at_hand(os.environ).named(args.stock or USUAL_STOCK)


def offset_chosen(args: argparse.Namespace, printer: str = "") -> "Offset":
    """How far labels are moved for the printer that was named, or the one that prints, by its own name where that is known.

    Raises InputRefused where none is kept for one that --offset-of names.
    """
    from appreg.core.values.print_offsets import UNMOVED, offset_for, offset_kept  # noqa: PLC0415 - a help text needs none
    from appreg.tasks.desk.keep_settings import load_settings, settings_path  # noqa: PLC0415

    if not args.offset_of and args.printer is None:
        return UNMOVED
    settings = load_settings(settings_path(os.environ))
    if args.offset_of:
        return offset_for(settings.printer_offsets, args.offset_of)
    return offset_kept(settings.printer_offsets, printer or args.printer or settings.label_printer)


def list_stocks(args: argparse.Namespace, console: Console) -> int:
    """Say what there is to print on; exit code 1 where something in a person's own file is wrong."""
    from appreg.paper.labels.stock_reading import load_stocks  # noqa: PLC0415 - a help text needs no stock
    from appreg.tasks.desk.find_stocks import stocks_at_hand  # noqa: PLC0415

    at_hand, coming = stocks_at_hand(os.environ), load_stocks()
    for fault in at_hand.faults:
        console.complain(fault)
    if args.json:
        answer: StocksAnswer = {
            "format": "appreg.stocks",
            "version": 1,
            "own_file": str(at_hand.own),
            "stocks": [
                {
                    "id": each.id,
                    "title": each.title,
                    "feed": each.feed.value,
                    "shape": each.shape.value,
                    "places": each.places,
                    "label_width_mm": each.label_width,
                    "label_height_mm": each.label_height,
                    "code": each.code_form is not None,
                    "own": each.id not in coming,
                    "basis": each.basis,
                }
                for each in at_hand.stocks.values()
            ],
            "faults": list(at_hand.faults),
        }
        console.json(answer)
    else:
        console.table(
            ("stock", "what it is", "a page", "shape", "code", "basis"),
            (
                [each.id, each.title, f"{each.places}", each.shape.value, _code_words(each), each.basis]
                for each in at_hand.stocks.values()
            ),
        )
        console.line(f"Stock of your own goes into {at_hand.own}.")
    return ExitCode.FOUND_WRONG if at_hand.faults else ExitCode.FINE


def _code_words(stock: "Stock") -> str:
    return f"{stock.code:g} mm" if stock.code_form is not None else "none"


def calibration_page(register: "Register | None", args: argparse.Namespace, console: Console) -> int:
    """Write the page that shows where a printer lays its labels; one that goes to a printer is kept in a register's list."""
    from appreg.tasks.documents.print_calibration import print_calibration  # noqa: PLC0415 - a help text needs no drawing
    from appreg.tasks.documents.send_to_printer import PrintedPaper  # noqa: PLC0415

    stock = stock_chosen(args)
    order = None if register is None else ready_order(register, args)
    printer = order.printer if order is not None else ""
    print_calibration(
        stock,
        out=args.output,
        replace=args.force,
        printer=args.offset_of or printer,
        offset=offset_chosen(args, printer),
        today=local_today(),
    )
    what = f"a calibration page for {stock.title}"
    job = None
    if register is not None and order is not None:
        job = print_paper_written(register, PrintedPaper(file=args.output, sheets=1, what=what), order)
    if args.json:
        answer: DocumentAnswer = {
            "format": "appreg.document",
            "version": 1,
            "file": str(args.output) if job is None or args.kept else None,
            "document": what,
            "missing_glyphs": [],
        }
        if job is not None:
            answer["printed"] = job_as_json(job)
        console.json(answer)
    elif job is not None:
        console.line(f"{what[:1].upper()}{what[1:]}: {job_words(job)}.")
    else:
        console.line(f"{args.output}: {what}.")
    return ExitCode.FINE
