"""Give a file to a printer's queue, and note in the register what it took; labels count as printed with that."""

from collections.abc import Collection, Iterator
from contextlib import contextmanager
from datetime import date
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Final

from msgspec import Struct
from msgspec.structs import replace

from appreg.core.records.kept_records import QueuedLabel, StatedInspection
from appreg.core.records.print_jobs import PrintedKind, PrintJob
from appreg.core.values.text import shown
from appreg.core.values.uids import Uid
from appreg.errors import AppregError, InputRefused, NotFound, PrintingRefused
from appreg.given_files import read_bytes
from appreg.paper.labels.sheet_list import ListedLabel, read_list
from appreg.paper.page.paper_size import paper_of
from appreg.printers import PrintOrder, checked_printer, holds_page, refuse_pages_beyond, send_file
from appreg.progress import Progress
from appreg.register.journal.journal_chain import require_sound_end
from appreg.register.lists.printed_jobs import job_numbered, next_job_number
from appreg.register.opening.register_file import Register
from appreg.tasks.documents.confirm_printed import ConfirmedLabels, count_labels
from appreg.tasks.standing.stated_failures import note_stated_label, stated_label_waits

if TYPE_CHECKING:
    from appreg.register.journal.changes import Change

_MOST_BYTES: Final = 500_000_000
_UNPLACED: Final = Uid("0" * 26)
"""Stands for the key of a job that is not noted yet."""


class PrintedPaper(Struct, frozen=True, kw_only=True):
    """A file that is to be printed, and what the log says of it."""

    file: Path
    sheets: int
    """Pages that it has."""
    what: str
    """In words: the register of Kiln Lane."""
    site: Uid | None = None
    document: Uid | None = None
    """The issued document that it is."""


class SentLabels(Struct, frozen=True, kw_only=True):
    """What came of printing sheets of labels."""

    job: PrintJob
    counted: ConfirmedLabels


def ready_printer(register: Register, order: PrintOrder, progress: Progress | None = None) -> PrintOrder:
    """The order with its printer's name, before anything is drawn.

    Raises InputRefused, PrintingRefused where the printer takes nothing, RegisterUnusable where nothing can be noted.
    """
    register.require_writable()
    require_sound_end(register)
    return replace(order, printer=checked_printer(order.printer, progress).name)


def print_document(
    register: Register,
    who: str,
    paper: PrintedPaper,
    order: PrintOrder,
    *,
    today: date,
    at: str,
    progress: Progress | None = None,
) -> PrintJob:
    """Give a document to a queue, and note it; `at` is the time of day. Raises what send_file() raises, InputRefused."""
    job = _sent(paper, order, PrintedKind.DOCUMENT, who, today=today, at=at, progress=progress)
    with _taken(job), register.change(who, f"print {shown(paper.what)}") as change:
        return _noted(register, change, job)


def print_label_file(
    register: Register,
    who: str,
    paper: PrintedPaper,
    order: PrintOrder,
    *,
    today: date,
    at: str,
    progress: Progress | None = None,
) -> SentLabels:
    """Give sheets of labels to a queue; those on the pages asked for count as printed once it took them.

    Raises what send_file() raises, and InputRefused where the file holds no labels or not those pages.
    """
    listed = tuple(each for each in read_list(paper.file) if holds_page(order.pages, each.sheet))
    if not listed:
        raise InputRefused("No label is on those pages; nothing was sent.", field="pages")
    job = _sent(paper, order, PrintedKind.LABELS, who, today=today, at=at, progress=progress)
    job = replace(job, labels=tuple(each.queued for each in listed), places=tuple(map(_place, listed)))
    with _taken(job), register.change(who, f"print {shown(paper.what)}") as change:
        counted = count_labels(register, change, listed, today=today)
        return SentLabels(job=_noted(register, change, job), counted=counted)


def spoil_printed(register: Register, who: str, *, number: int, spoiled: Collection[tuple[int, int]]) -> int:
    """Have labels of a job wait again, by the sheet and place where they lay; returns how many items have one waiting.

    Raises NotFound for a job that is none, InputRefused where no label of it lay there.
    """
    job = job_numbered(register, number)
    lay = dict(zip(job.places, job.labels, strict=True))
    named = sorted(spoiled)
    missing = [f"{sheet}:{place}" for sheet, place in named if f"{sheet}:{place}" not in lay]
    if missing or not named:
        said = f"No label of job {number} lay at {missing[0]}" if missing else "No place is named"
        raise InputRefused(f"{said}; look at the sheets, and write 2:3 for place 3 of sheet 2.", field="spoiled")
    waiting = 0
    with register.change(who, f"spoiled labels of job {number}") as change:
        for sheet, place in named:
            uid = lay[f"{sheet}:{place}"]
            found, stated = register.find(QueuedLabel, uid=uid), register.find(StatedInspection, uid=uid)
            if found and found[0].printed_on is not None:
                change.put(replace(found[0], printed_on=None))
            if stated and not stated_label_waits(register, uid):
                note_stated_label(change, stated[0], waits=True)
            waiting += bool(found or stated)
    if not waiting:
        raise NotFound("The labels that lay there were taken out of the tray meanwhile; queue them from their items.")
    return waiting


def _sent(
    paper: PrintedPaper,
    order: PrintOrder,
    kind: PrintedKind,
    who: str,
    *,
    today: date,
    at: str,
    progress: Progress | None,
) -> PrintJob:
    refuse_pages_beyond(order.pages, paper.sheets)
    content = read_bytes(paper.file, what="file to print", most_bytes=_MOST_BYTES)
    media = paper_of(paper.file)
    taken = send_file(paper.file, order, title=shown(paper.what), media=media, progress=progress)
    return PrintJob(
        uid=_UNPLACED,
        number=0,
        kind=kind,
        what=paper.what,
        site=paper.site,
        document=paper.document,
        file_hash=sha256(content).hexdigest(),
        sheets=paper.sheets,
        printer=order.printer,
        job=taken,
        copies=order.copies,
        pages=order.pages,
        media=media,
        on=today,
        at=at,
        author=who,
    )


def _noted(register: Register, change: "Change", job: PrintJob) -> PrintJob:
    noted = replace(job, uid=change.new_uid(), number=next_job_number(register))
    change.put(noted)
    return noted


@contextmanager
def _taken(job: PrintJob) -> Iterator[None]:
    """What fails once the queue has the file is told with the job, since paper comes out all the same."""
    try:
        yield
    except AppregError as problem:
        raise PrintingRefused(
            f"The printer {job.printer} took it as {job.job}, but nothing was noted, and no label counts as printed: {problem}"
        ) from problem


def _place(listed: ListedLabel) -> str:
    return f"{listed.sheet}:{listed.place}"
