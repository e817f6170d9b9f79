"""Write any declared document into a file: as pages, or as a file of rows, by the ending of its name."""

from collections.abc import Callable
from datetime import date
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, cast

from msgspec.structs import replace as with_changes

from appreg.errors import InputRefused
from appreg.files import placed, refuse_place, write_whole
from appreg.paper.documents.document_outcome import DocumentSummary
from appreg.progress import Progress
from appreg.register.opening.register_file import Register
from appreg.tasks.documents.gather_documents import present_state
from appreg.tasks.documents.paper_kinds import CSV, XLSX, Asked, PaperKind

if TYPE_CHECKING:
    from appreg.paper.documents.list_content import ListDocument
    from appreg.tasks.documents.issue_document import IssuedPaper

_TASKS: Final = "appreg.tasks.documents"
_OF_ROWS: Final = (CSV, XLSX)


def write_paper(
    register: Register,
    kind: PaperKind,
    asked: Asked,
    *,
    out: Path,
    replace: bool = False,
    today: date,
    progress: Progress | None = None,
) -> DocumentSummary:
    """Write it; a file that is there gives way only with `replace`.

    Raises Incomplete naming what is missing, InputRefused for a bad file or what is asked for, NotFound, Stopped.
    """
    _refuse(kind, asked, out, replace=replace)
    ending = out.suffix.lower()
    if kind.writes and ending not in _OF_ROWS:
        write: Callable[..., DocumentSummary] = _task(kind.writes)
        return write(register, asked, out=out, replace=replace, today=today, progress=progress)
    state = present_state(register, today)
    tell: Callable[[Register, Asked, date], ListDocument] = _task(kind.tells)
    document = with_changes(tell(register, asked, today), state=state)
    if ending in _OF_ROWS:
        write_rows(document, out, replace=replace)
        return DocumentSummary(items=document.count, pages=0, missing_glyphs=())
    from appreg.paper.documents.list_document import drawn_list  # noqa: PLC0415 - drawing costs others dearly

    drawn = drawn_list(document, progress)
    write_whole(out, drawn.content, replace=replace)
    return drawn.summary


def write_rows(document: "ListDocument", out: Path, *, replace: bool = False) -> None:
    """Write a list as a file of rows: CSV has the first table, a workbook a sheet for each; both say what pages say beside them."""
    if out.suffix.lower() == CSV:
        from appreg.exchange.list_file import table_csv  # noqa: PLC0415 - most documents are drawn

        write_whole(out, table_csv(document.tables[0], document.beside), replace=replace)
        return
    from appreg.exchange.list_workbook import fill_workbook, said_sheet, table_sheet  # noqa: PLC0415 - the same

    with placed(out, replace=replace) as draft:
        title = f"{document.kind}, {document.title}"
        fill_workbook(draft, title, [*(table_sheet(table) for table in document.tables), said_sheet(document.beside)])


def issue_paper(
    register: Register,
    who: str,
    kind: PaperKind,
    asked: Asked,
    *,
    out: Path,
    replace: bool = False,
    today: date,
    progress: Progress | None = None,
) -> "IssuedPaper":
    """Issue it, with a number by which it is printed again as it was; raises what `write_paper` raises, RegisterUnusable."""
    if not kind.issues:
        raise InputRefused(
            f"{kind.label[:1].upper()}{kind.label[1:]}: this document is printed only, it is not issued."
        )
    _refuse(kind, asked, out, replace=replace)
    issue: Callable[..., IssuedPaper] = _task(kind.issues)
    return issue(register, who, asked, out=out, replace=replace, today=today, progress=progress)


def _refuse(kind: PaperKind, asked: Asked, out: Path, *, replace: bool) -> None:
    for ask in kind.needs:
        if getattr(asked, ask.value) in {None, ""}:
            raise InputRefused(f"Name the {ask.value} for the {kind.label}, with --{ask.value}.", field=ask.value)
    ending = out.suffix.lower()
    # What writes its pages itself has always taken any name for them.
    if ending not in kind.endings and (not kind.writes or ending in _OF_ROWS):
        raise InputRefused(f"{out.name} does not tell what to write; let its name end in {' or '.join(kind.endings)}.")
    refuse_place(out, replace=replace)


def _task(named: str) -> "Callable[..., Any]":
    module, _, function = named.partition(":")
    return cast("Callable[..., Any]", getattr(import_module(f"{_TASKS}.{module}"), function))
