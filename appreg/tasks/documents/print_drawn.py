"""Draw a document where nobody sees it, and print it: nothing is left of it but what the printer's queue took."""

import tempfile
from collections.abc import Callable
from datetime import date
from pathlib import Path

from msgspec import Struct

from appreg.core.records.print_jobs import PrintJob
from appreg.core.values.counted_words import counted
from appreg.core.values.uids import Uid
from appreg.paper.documents.document_outcome import DocumentSummary
from appreg.printers import PrintOrder
from appreg.progress import Progress
from appreg.register.opening.register_file import Register
from appreg.tasks.documents.print_labels import PrintedLabels
from appreg.tasks.documents.send_to_printer import (
    PrintedPaper,
    SentLabels,
    print_document,
    print_label_file,
    ready_printer,
)


class Drawn(Struct, frozen=True, kw_only=True):
    """What was drawn."""

    summary: DocumentSummary
    document: Uid | None = None
    """The issued document that it is."""
    doubts: tuple[str, ...] = ()
    """What must be known of it before it is used, a sentence each."""


class PrintedDrawing(Struct, frozen=True, kw_only=True):
    """What was drawn and printed."""

    job: PrintJob
    drawn: Drawn


class PrintedSheets(Struct, frozen=True, kw_only=True):
    """Sheets of labels that were drawn and printed."""

    labels: PrintedLabels
    sent: SentLabels


def print_drawn(
    register: Register,
    who: str,
    order: PrintOrder,
    draw: Callable[[Path, Progress | None], Drawn],
    *,
    what: str,
    site: Uid | None,
    today: date,
    at: str,
    progress: Progress | None = None,
) -> PrintedDrawing:
    """Have a document drawn into a file that goes again, and printed.

    Raises what ready_printer() and print_document() raise, and what `draw` does.
    """
    order = ready_printer(register, order, progress)
    with tempfile.TemporaryDirectory(prefix="appreg-") as folder:
        file = Path(folder) / "document.pdf"
        drawn = draw(file, progress)
        paper = PrintedPaper(file=file, sheets=drawn.summary.pages, what=what, site=site, document=drawn.document)
        job = print_document(register, who, paper, order, today=today, at=at, progress=progress)
    return PrintedDrawing(job=job, drawn=drawn)


def print_drawn_labels(
    register: Register,
    who: str,
    order: PrintOrder,
    draw: Callable[[Path, Progress | None], PrintedLabels],
    *,
    site: Uid | None,
    today: date,
    at: str,
    progress: Progress | None = None,
) -> PrintedSheets:
    """The same for sheets of labels, which count as printed with that; raises what print_label_file() raises too."""
    order = ready_printer(register, order, progress)
    with tempfile.TemporaryDirectory(prefix="appreg-") as folder:
        labels = draw(Path(folder) / "labels.pdf", progress)
        paper = PrintedPaper(file=labels.path, sheets=labels.sheets, what=counted(labels.count, "label"), site=site)
        sent = print_label_file(register, who, paper, order, today=today, at=at, progress=progress)
    return PrintedSheets(labels=labels, sent=sent)
