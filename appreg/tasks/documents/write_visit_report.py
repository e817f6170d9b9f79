"""Write the inspection report of a visit."""

from datetime import date
from pathlib import Path

from msgspec import structs

from appreg.core.records.kept_records import Visit
from appreg.core.values.uids import Uid
from appreg.files import refuse_place
from appreg.paper.documents.document_outcome import DocumentSummary
from appreg.paper.documents.report_content import ReportDocument
from appreg.progress import Progress
from appreg.register.opening.register_file import Register
from appreg.tasks.documents.gather_documents import present_state
from appreg.tasks.documents.gather_report import gathered_report, refuse_unreportable
from appreg.tasks.documents.paper_kinds import Asked
from appreg.tasks.documents.write_job_report import write_job_report


def write_visit_report(
    register: Register, *, visit: Uid, out: Path, replace: bool = False, today: date
) -> DocumentSummary:
    """Write the report; a file that is there gives way only with `replace`.

    Raises Incomplete naming every statutory statement that is missing, InputRefused for a bad file.
    """
    refuse_place(out, replace=replace)
    from appreg.paper.documents.report_document import write_report_document  # noqa: PLC0415 - drawing costs others dearly

    state = present_state(register, today)
    document = structs.replace(reported_document(register, visit=visit, today=today), state=state)
    return write_report_document(document, out, replace=replace)


def write_report_asked(
    register: Register, asked: Asked, *, out: Path, replace: bool, today: date, progress: Progress | None
) -> DocumentSummary:
    """The report of the visit or of the job, as `write_paper` calls it."""
    if asked.job is not None:
        return write_job_report(register, job=asked.job, out=out, replace=replace, today=today, progress=progress)
    return write_visit_report(register, visit=asked.of_visit(), out=out, replace=replace, today=today)


def reported_document(register: Register, *, visit: Uid, today: date) -> ReportDocument:
    """All that the report of one visit shows; raises Incomplete where nothing was done, or naming what is missing."""
    document = visit_document(register, visit=visit, today=today)
    refuse_unreportable(document)
    return document


def visit_document(register: Register, *, visit: Uid, today: date) -> ReportDocument:
    """All that the report of one visit shows."""
    return gathered_report(register, visits=(register.get(Visit, visit),), today=today)
