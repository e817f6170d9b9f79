"""Say in words which document is meant: the register of Harbour Row, the report of the visit of 24 Nov 2026."""

from appreg.core.records.job_records import Job
from appreg.core.records.kept_records import Appliance, Site, Visit
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.uids import Uid
from appreg.register.opening.register_file import Register
from appreg.tasks.documents.paper_kinds import Ask, Asked, PaperKind


def paper_words(register: Register, kind: PaperKind, asked: Asked) -> str:
    """The document with what it is of."""
    if asked.visit is not None:
        return f"the {kind.name} of the visit of {date_words(register.get(Visit, asked.visit).date)}"
    if asked.job is not None:
        job = register.get(Job, asked.job)
        return f"the {kind.name} of the job {job.name} at {register.get(Site, job.site).name}"
    if asked.item is not None:
        more = f" and {len(asked.further)} more" if asked.further and Ask.ALSO in kind.asks else ""
        return f"the {kind.label} of {register.get(Appliance, asked.item).tag}{more}"
    if asked.site is not None:
        return f"the {kind.label.removesuffix(' of the site')} of {register.get(Site, asked.site).name}"
    return f"the {kind.label} of all sites"


def paper_site(register: Register, asked: Asked) -> Uid | None:
    """The one site that it is about; None: all of them."""
    if asked.visit is not None:
        return register.get(Visit, asked.visit).site
    if asked.job is not None:
        return register.get(Job, asked.job).site
    return register.get(Appliance, asked.item).site if asked.item is not None else asked.site


def paper_stem(register: Register, kind: PaperKind, asked: Asked) -> str:
    """What the name of its file begins with: register-hr."""
    if asked.visit is not None:
        visit = register.get(Visit, asked.visit)
        prefix = register.get(Site, visit.site).prefix
        return f"{kind.name}-{prefix.lower()}-{visit.date.isoformat()}-written"
    if asked.job is not None:
        prefix = register.get(Site, register.get(Job, asked.job).site).prefix
        return f"{kind.name}-{prefix.lower()}-job-written"
    if asked.item is not None:
        return f"{kind.name}-{register.get(Appliance, asked.item).tag.lower()}"
    if asked.site is not None:
        return f"{kind.name}-{register.get(Site, asked.site).prefix.lower()}"
    return kind.name
