"""List what printers' queues took, with the site and the issued document that each was of."""

from msgspec import Struct

from appreg.core.records.issued_documents import IssuedDocument
from appreg.core.records.kept_records import Site
from appreg.core.records.print_jobs import PrintJob
from appreg.core.values.uids import Uid
from appreg.register.lists.printed_jobs import printed_jobs
from appreg.register.opening.register_file import Register


class ListedJob(Struct, frozen=True, kw_only=True):
    """A job as lists have it."""

    job: PrintJob
    site: Site | None
    """None: several sites, or none."""
    document: IssuedDocument | None


def list_printed(register: Register, *, site: Uid | None = None) -> list[ListedJob]:
    """Every job, of one site where it is named, the latest first."""
    jobs = printed_jobs(register, site=site)
    sites = {uid: register.get(Site, uid) for uid in {each.site for each in jobs} if uid is not None}
    issued = {uid: register.get(IssuedDocument, uid) for uid in {each.document for each in jobs} if uid is not None}
    return [
        ListedJob(
            job=each,
            site=sites[each.site] if each.site is not None else None,
            document=issued[each.document] if each.document is not None else None,
        )
        for each in jobs
    ]
