"""The jobs that printers' queues took."""

from appreg.core.records.print_jobs import PrintJob
from appreg.core.values.uids import Uid
from appreg.errors import NotFound
from appreg.register.opening.register_file import Register


def next_job_number(register: Register) -> int:
    """The number of the job that is noted next; within a change nobody else takes it."""
    ((last,),) = register.rows("SELECT coalesce(max(number), 0) FROM print_job")
    return int(last) + 1


def printed_jobs(register: Register, *, site: Uid | None = None) -> list[PrintJob]:
    """Every job, or those about one site alone, the latest first."""
    found = register.find(PrintJob, site=site) if site is not None else register.find(PrintJob)
    return sorted(found, key=lambda each: each.number, reverse=True)


def job_numbered(register: Register, number: int) -> PrintJob:
    """The job of a number; raises NotFound."""
    found = register.find(PrintJob, number=number)
    if not found:
        raise NotFound(f"No job {number} was printed from this register; `appreg list printed` shows those that were.")
    return found[0]
