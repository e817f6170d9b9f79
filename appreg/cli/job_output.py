"""How `appreg list jobs` tells a job: what it is found by, and its JSON."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from appreg.core.values.dates_in_words import date_words
from appreg.core.values.outcomes import Outcome

if TYPE_CHECKING:
    from datetime import date

    from appreg.cli.shapes.list_shapes import JobOfWorkShape
    from appreg.tasks.inspecting.list_jobs import ListedJobOfWork


def job_texts(each: "ListedJobOfWork") -> Mapping[str, tuple[str, ...]]:
    """What words find it by, each under its key."""
    days = [visit.date for visit in each.visits]
    return {
        "job": (each.job.name,),
        "site": (each.site.name, each.site.prefix),
        "visits": tuple(words for day in days for words in (day.isoformat(), date_words(day))),
        "extent": (each.job.extent,),
        "wiring_report": (each.job.wiring_report,),
    }


def job_of_work_as_json(each: "ListedJobOfWork") -> "JobOfWorkShape":
    """The job with every key."""
    job = each.job
    return {
        "uid": job.uid,
        "job": job.name,
        "site": each.site.name,
        "visits": [visit.date.isoformat() for visit in each.visits],
        "items": len(each.outcomes),
        "passed": each.of_outcome(Outcome.PASS),
        "failed": each.of_outcome(Outcome.FAIL),
        "incomplete": each.of_outcome(Outcome.INCOMPLETE),
        "extent": job.extent,
        "limitations": job.limitations,
        "wiring_report": job.wiring_report,
        "wiring_on": _day(job.wiring_on),
        "wiring_next": _day(job.wiring_next),
        "wiring_rcd": job.wiring_rcd,
        "signatory": job.signatory,
        "notes": job.notes,
    }


def _day(day: "date | None") -> str | None:
    return day.isoformat() if day is not None else None
