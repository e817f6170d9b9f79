"""The part of `appreg print` that reaches a printer: how one is asked for, and what is told once its queue took a file."""

import argparse
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Final

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.operator_name import operator_name
from appreg.cli.typed_options import whole_number
from appreg.core.values.counted_words import counted
from appreg.errors import UsageRefused

if TYPE_CHECKING:
    from appreg.cli.shapes.keeping_shapes import JobShape, SpoiledAnswer
    from appreg.core.records.print_jobs import PrintJob
    from appreg.printers import PrintOrder
    from appreg.register.opening.register_file import Register
    from appreg.tasks.documents.print_labels import PrintedLabels
    from appreg.tasks.documents.send_to_printer import PrintedPaper, SentLabels

_NO_PAGES: Final = frozenset({".csv", ".xlsx", ".json"})
_WITHOUT_PAPER: Final = ("preview", "confirm", "printed", "spoiled", "print_job", "stocks")
"""Of labels: what draws none, or counts them in another way."""


def add_printer_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument(
        "--printer",
        metavar="NAME",
        nargs="?",
        const="",
        help="print it through CUPS on this printer, without a name on the one that the settings or the system have; "
        "a file is kept only with -o",
    )
    parser.add_argument("--copies", metavar="N", type=whole_number, help="with --printer: how many (default: 1)")
    parser.add_argument("--pages", metavar="PAGES", help="with --printer: these alone, say 1-3,7")


def add_spoiled_job(parser: argparse.ArgumentParser) -> None:
    """Declare the option that names what was printed."""
    parser.add_argument(
        "--print-job",
        metavar="N",
        type=whole_number,
        help="labels: with --spoiled, the number of what was printed in `list printed`; its labels there wait again",
    )


def refuse_printer_options(args: argparse.Namespace) -> None:
    """Raise UsageRefused where the options do not go together."""
    if args.print_job is not None and (args.kind != "labels" or not args.spoiled or args.confirm or args.output):
        raise UsageRefused(
            "--print-job goes with `print labels` and --spoiled alone: print labels --print-job 14 --spoiled 2:3."
        )
    refuse_no_printer(args)
    if args.printer is None:
        return
    named = [f"--{name.replace('_', '-')}" for name in _WITHOUT_PAPER if getattr(args, name) not in {None, False}]
    if named:
        raise UsageRefused(
            f"{named[0]} does not go with --printer, which prints labels that wait and counts them; leave one of them out."
        )


def refuse_no_printer(args: argparse.Namespace) -> None:
    """Raise UsageRefused where no printer is named that could do what is said, or it would be given no pages."""
    if args.printer is None and (args.copies is not None or args.pages is not None):
        raise UsageRefused("--copies and --pages say how a printer prints; name one with --printer.")
    if args.printer is not None and args.output is not None and args.output.suffix.lower() in _NO_PAGES:
        raise UsageRefused("A printer takes pages; leave out -o, or let its file end in .pdf.")


@contextmanager
def place_to_draw(args: argparse.Namespace) -> Iterator[None]:
    """Have what is printed and not kept drawn in a private folder that goes again."""
    if args.printer is None or args.output is not None:
        args.kept = args.output is not None
        yield
        return
    import tempfile  # noqa: PLC0415 - only where something is printed

    with tempfile.TemporaryDirectory(prefix="appreg-") as folder:
        args.kept, args.output = False, Path(folder) / "printed.pdf"
        yield


def ready_order(register: "Register", args: argparse.Namespace) -> "PrintOrder | None":
    """What was asked of a printer, once it is known that it prints; None: nothing. Raises what ready_printer() raises."""
    if args.printer is None:
        return None
    from appreg.printers import PrintOrder, checked_copies, checked_pages  # noqa: PLC0415 - only where printed
    from appreg.tasks.desk.keep_settings import load_settings, settings_path  # noqa: PLC0415
    from appreg.tasks.documents.send_to_printer import ready_printer  # noqa: PLC0415

    settings = load_settings(settings_path(os.environ))
    usual = settings.label_printer if getattr(args, "kind", "") == "labels" else settings.document_printer
    order = PrintOrder(
        printer=args.printer or usual,
        copies=checked_copies(1 if args.copies is None else args.copies),
        pages=checked_pages(args.pages or ""),
    )
    return ready_printer(register, order)


def print_paper_written(register: "Register", paper: "PrintedPaper", order: "PrintOrder") -> "PrintJob":
    """Give a document that was drawn to the printer; raises what print_document() raises."""
    from appreg.clock import local_minute, local_today  # noqa: PLC0415 - only where printed
    from appreg.tasks.documents.send_to_printer import print_document  # noqa: PLC0415

    return print_document(register, operator_name(), paper, order, today=local_today(), at=local_minute())


def print_sheets_written(
    register: "Register", args: argparse.Namespace, printed: "PrintedLabels", order: "PrintOrder"
) -> "SentLabels":
    """Give sheets of labels that were drawn to the printer; raises what print_label_file() raises."""
    from appreg.cli.opening import site_uid  # noqa: PLC0415 - only where printed
    from appreg.clock import local_minute, local_today  # noqa: PLC0415
    from appreg.tasks.documents.send_to_printer import PrintedPaper, print_label_file  # noqa: PLC0415

    site = site_uid(register, args.site)
    paper = PrintedPaper(file=printed.path, sheets=printed.sheets, what=counted(printed.count, "label"), site=site)
    return print_label_file(register, operator_name(), paper, order, today=local_today(), at=local_minute())


def spoil_labels(register: "Register", args: argparse.Namespace, console: Console) -> int:
    """Have labels of a job wait again; raises what spoil_printed() raises."""
    from appreg.core.values.places_and_tags import read_places  # noqa: PLC0415 - only where labels are spoiled
    from appreg.tasks.documents.send_to_printer import spoil_printed  # noqa: PLC0415

    number = args.print_job
    waiting = spoil_printed(register, operator_name(), number=number, spoiled=read_places(args.spoiled))
    if args.json:
        answer: SpoiledAnswer = {"format": "appreg.labels-spoiled", "version": 1, "job": number, "waiting": waiting}
        console.json(answer)
    else:
        console.line(f"{counted(waiting, 'label')} of job {number} to be printed again.")
    return ExitCode.FINE


def job_as_json(job: "PrintJob") -> "JobShape":
    """A job in an answer."""
    return {
        "number": job.number,
        "printer": job.printer,
        "queued_as": job.job,
        "copies": job.copies,
        "pages": job.pages,
    }


def job_words(job: "PrintJob") -> str:
    """The end of a line that says what was printed."""
    copies = f", {job.copies} copies" if job.copies > 1 else ""
    pages = f", pages {job.pages}" if job.pages else ""
    return f"job {job.number}, taken by {job.printer} as {job.job}{copies}{pages}"
