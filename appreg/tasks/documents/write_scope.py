"""Write a scope of work into a file: a table, a workbook, JSON or a page, by the ending of its name."""

from pathlib import Path
from typing import Final

from appreg.errors import InputRefused
from appreg.exchange.scope_file import CSV, JSON, XLSX, write_scope_file
from appreg.files import refuse_place
from appreg.paper.documents.document_outcome import DocumentSummary
from appreg.progress import Progress
from appreg.schedule.scope_of_work import ScopeOfWork

PDF: Final = ".pdf"
ENDINGS: Final = (CSV, XLSX, JSON, PDF)


def refuse_scope_file(out: Path, *, replace: bool = False) -> None:
    """Raise InputRefused where a scope cannot be written to that file, before anything is drawn up."""
    if out.suffix.lower() not in ENDINGS:
        raise InputRefused(f"{out.name} does not tell what to write; let its name end in {', '.join(ENDINGS)}.")
    refuse_place(out, replace=replace)


def write_scope(
    scope: ScopeOfWork, out: Path, *, replace: bool = False, progress: Progress | None = None
) -> DocumentSummary:
    """Write it; a file that is there gives way only with `replace`. Raises InputRefused for a bad file, Stopped."""
    refuse_scope_file(out, replace=replace)
    if out.suffix.lower() != PDF:
        write_scope_file(scope, out, replace=replace)
        return DocumentSummary(items=len(scope.items), pages=0, missing_glyphs=())
    from appreg.paper.documents.scope_document import write_scope_document  # noqa: PLC0415 - drawing costs others dearly

    return write_scope_document(scope, out, progress=progress, replace=replace)
