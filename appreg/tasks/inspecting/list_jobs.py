"""List jobs with the visits that each is of."""

from collections.abc import Mapping

from msgspec import Struct

from appreg.core.records.job_records import Job
from appreg.core.records.kept_records import Site, Visit
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid
from appreg.register.lists.inspection_lists import inspections_of_visit
from appreg.register.opening.register_file import Register
from appreg.tasks.inspecting.keep_job import jobs_of, visits_of_job


class ListedJobOfWork(Struct, frozen=True, kw_only=True):
    """One job."""

    job: Job
    site: Site
    visits: tuple[Visit, ...]
    """The earliest first."""
    outcomes: Mapping[Uid, Outcome]
    """By item: what the inspection came to that counts."""

    def of_outcome(self, outcome: Outcome) -> int:
        """How many items came to this."""
        return sum(each is outcome for each in self.outcomes.values())


def list_jobs(register: Register, *, site: Uid | None = None) -> tuple[ListedJobOfWork, ...]:
    """The jobs at a site, or all, the latest first."""
    return tuple(_listed(register, job) for job in jobs_of(register, site))


def _listed(register: Register, job: Job) -> ListedJobOfWork:
    visits = visits_of_job(register, job.uid)
    outcomes = {each.appliance: each.outcome for visit in visits for each in inspections_of_visit(register, visit.uid)}
    return ListedJobOfWork(job=job, site=register.get(Site, job.site), visits=tuple(visits), outcomes=outcomes)
