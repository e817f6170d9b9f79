"""How `appreg list printed` tells a job: what it is found by, and its JSON."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from appreg.core.values.dates_in_words import date_words

if TYPE_CHECKING:
    from appreg.cli.shapes.list_shapes import PrintedShape
    from appreg.tasks.documents.list_printed import ListedJob


def printed_texts(each: "ListedJob") -> Mapping[str, tuple[str, ...]]:
    """What words find it by, each under its key."""
    job = each.job
    return {
        "number": (str(job.number),),
        "on": (job.on.isoformat(), date_words(job.on)),
        "kind": (job.kind,),
        "what": (job.what,),
        "site": (each.site.name, each.site.prefix) if each.site is not None else (),
        "printer": (job.printer,),
        "by": (job.author,),
    }


def printed_as_json(each: "ListedJob") -> "PrintedShape":
    """The job with every key."""
    job, document = each.job, each.document
    return {
        "uid": job.uid,
        "number": job.number,
        "on": job.on.isoformat(),
        "at": job.at,
        "kind": job.kind.value,
        "what": job.what,
        "site": each.site.name if each.site is not None else None,
        "document": f"{document.number}.{document.issue}" if document is not None else None,
        "printer": job.printer,
        "queued_as": job.job,
        "copies": job.copies,
        "sheets": job.sheets,
        "pages": job.pages,
        "media": job.media,
        "by": job.author,
        "file_hash": job.file_hash,
        "labels": [{"label": label, "place": place} for label, place in zip(job.labels, job.places, strict=True)],
    }
