"""Write the inspection report of a job: its visits as one."""

from datetime import date
from pathlib import Path

from msgspec import structs

from appreg.core.records.job_records import Job
from appreg.core.records.kept_records import Site
from appreg.core.values.uids import Uid
from appreg.errors import Incomplete
from appreg.files import refuse_place
from appreg.paper.documents.document_outcome import DocumentSummary
from appreg.paper.documents.report_content import ReportDocument
from appreg.progress import Progress
from appreg.register.opening.register_file import Register
from appreg.tasks.documents.gather_documents import present_state
from appreg.tasks.documents.gather_report import gathered_report, refuse_unreportable
from appreg.tasks.inspecting.keep_job import visits_of_job


def write_job_report(
    register: Register,
    *,
    job: Uid,
    out: Path,
    replace: bool = False,
    today: date,
    progress: Progress | None = None,
) -> DocumentSummary:
    """Write the report; a file that is there gives way only with `replace`.

    Raises Incomplete where it has no visits or naming every statement that is missing, InputRefused for a bad file, Stopped.
    """
    refuse_place(out, replace=replace)
    from appreg.paper.documents.report_document import write_report_document  # noqa: PLC0415 - drawing costs others dearly

    state = present_state(register, today)
    document = structs.replace(job_document(register, job=job, today=today), state=state)
    return write_report_document(document, out, progress, replace=replace)


def job_document(register: Register, *, job: Uid, today: date) -> ReportDocument:
    """All that the report of a job shows; raises Incomplete where it has no visits, or naming what is missing."""
    done = register.get(Job, job)
    visits = visits_of_job(register, job)
    if not visits:
        raise Incomplete(
            f"No visit to {register.get(Site, done.site).name} is part of the job {done.name} yet: "
            "put visits in it before its report is written."
        )
    document = gathered_report(register, visits=visits, job=done, today=today)
    refuse_unreportable(document)
    return document
