"""Keep jobs: visits to one site that are handed over as one; and find them again."""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Final

from msgspec.structs import replace

from appreg.core.records.job_records import Job
from appreg.core.records.kept_records import Site, Visit
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused, NotFound
from appreg.register.journal.journal_ends import in_journal_order
from appreg.register.opening.register_file import Register
from appreg.tasks.inspecting.choose_visit import visit_named, visits_of
from appreg.tasks.records.change_record import change_record
from appreg.tasks.records.check_record import checked

ALL_VISITS: Final = "all"


def add_job(
    register: Register,
    who: str,
    *,
    site: Uid,
    name: str,
    visits: Iterable[Uid] = (),
    extent: str = "",
    limitations: str = "",
    wiring_report: str = "",
    wiring_on: date | None = None,
    wiring_next: date | None = None,
    wiring_rcd: str = "",
    signatory: str = "",
    notes: str = "",
) -> Job:
    """Add a job of these visits, or of none yet.

    Raises InputRefused where its name is empty or taken at the site, or a visit is of another site or job; NotFound.
    """
    with register.change(who, "job") as change:
        job = Job(
            uid=change.new_uid(),
            site=site,
            name=name,
            extent=extent,
            limitations=limitations,
            wiring_report=wiring_report,
            wiring_on=wiring_on,
            wiring_next=wiring_next,
            wiring_rcd=wiring_rcd,
            signatory=signatory,
            notes=notes,
        )
        job = checked(register, job)
        change.put(job)
        for visit in visits:
            put_in_job(register, who, visit=visit, job=job.uid)
    return job


def put_in_job(register: Register, who: str, *, visit: Uid, job: Uid | None) -> Visit:
    """Make a visit part of a job, or of none; raises InputRefused where it is part of another, or of another site."""
    was = register.get(Visit, visit)
    if job is not None and was.job not in {None, job}:
        other = register.get(Job, was.job)
        raise InputRefused(
            f"The visit of {date_words(was.date)} is part of the job {other.name}; take it out of that first."
        )
    return change_record(register, who, replace(was, job=job), opened=was)


def set_visits(register: Register, who: str, *, job: Uid, visits: Sequence[Uid]) -> None:
    """Let a job be of these visits and no others; raises InputRefused as put_in_job does."""
    with register.change(who, "visits of a job"):
        for each in visits_of_job(register, job):
            if each.uid not in visits:
                put_in_job(register, who, visit=each.uid, job=None)
        for visit in visits:
            put_in_job(register, who, visit=visit, job=job)


def visits_typed(register: Register, site: Uid, typed: str, *, job: Uid | None = None, today: date) -> list[Uid]:
    """The visits of a list of dates or keys with commas; `all` are those of no other job.

    Raises NotFound, and InputRefused for what is neither, or a date of several visits.
    """
    if typed.strip().casefold() == ALL_VISITS:
        return [each.uid for each in visits_of(register, site) if each.job in {None, job}]
    named = [each for each in typed.split(",") if each.strip()]
    return [visit_named(register, each, site, today=today).uid for each in named]


def visits_shown(register: Register, job: Job) -> str:
    """The visits of a job as visits_typed() reads them."""
    return ", ".join(day_or_key(register, each) for each in visits_of_job(register, job.uid))


def day_or_key(register: Register, visit: Visit) -> str:
    """A visit as visits_typed() reads it: its date, or its key where the site has several of that day."""
    alone = len(register.find(Visit, site=visit.site, date=visit.date)) == 1
    return date_words(visit.date) if alone else visit.uid


def visits_of_job(register: Register, job: Uid) -> list[Visit]:
    """Its visits, the earliest first, those of one day as they were started."""
    return sorted(in_journal_order(register, register.find(Visit, job=job)), key=lambda each: each.date)


def jobs_of(register: Register, site: Uid | None = None) -> list[Job]:
    """The jobs at a site, or all, the latest first."""
    found = in_journal_order(register, register.find(Job, site=site) if site else register.find(Job))
    return list(reversed(found))


def job_named(register: Register, named: str, site: Uid | None = None) -> Job:
    """The job of that name or key, at the site if one is given; raises NotFound, or InputRefused where several are meant."""
    wanted = " ".join(named.split()).casefold()
    jobs = jobs_of(register, site)
    found = [each for each in jobs if wanted in {each.name.casefold(), each.uid.casefold()}]
    if len(found) == 1:
        return found[0]
    if found:
        where = ", ".join(sorted(register.get(Site, each.site).name for each in found))
        raise InputRefused(f"{len(found)} jobs are called {named}, at {where}; name the site as well.", field="job")
    raise NotFound(f"There is no job {named}; the register has {_names(jobs)}.")


def _names(jobs: Sequence[Job]) -> str:
    return ", ".join(dict.fromkeys(each.name for each in jobs)) or "none yet"
