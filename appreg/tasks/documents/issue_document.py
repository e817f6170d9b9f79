"""Issue a document: give it a number, keep what it told of and how far, and print it again as it was."""

from datetime import date
from hashlib import sha256
from pathlib import Path
from typing import Final

from msgspec import Struct
from msgspec.structs import replace as with_changes

from appreg.core.records.issued_documents import FULL_SCOPE, SHORT_SCOPE, DocumentKind, IssuedDocument
from appreg.core.records.job_records import Job
from appreg.core.records.kept_records import Site, Visit
from appreg.core.records.seals import document_seal, seal_at
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused, NotFound
from appreg.files import placed, refuse_place
from appreg.paper.documents.document_outcome import DocumentSummary, DrawnDocument
from appreg.paper.documents.document_state import DocumentState
from appreg.paper.documents.register_content import RegisterDocument
from appreg.paper.documents.report_content import ReportDocument
from appreg.progress import Progress, shared
from appreg.register.history.as_it_stood import as_it_stood
from appreg.register.journal.journal_ends import journal_end
from appreg.register.opening.register_file import Register
from appreg.tasks.documents.paper_kinds import Asked
from appreg.tasks.documents.tell_changes import NOTHING_CHANGED, Told, changes_between
from appreg.tasks.documents.write_job_report import job_document
from appreg.tasks.documents.write_site_register import site_document
from appreg.tasks.documents.write_visit_report import reported_document

_UNPLACED: Final = Uid("0" * 26)
"""Stands for the key of a document that is not kept yet."""
_LEFT_OUT: Final = "The readings of each item: left out of this issue; the one before has them."
_TAKEN_IN: Final = "The readings of each item: added, as an annex."
_GATHERED: Final = 80
"""Hundredths of the work that are done once it is known what the document tells."""


class IssuedPaper(Struct, frozen=True, kw_only=True):
    """A document that was issued or printed again."""

    document: IssuedDocument
    summary: DocumentSummary
    same: bool = True
    """Its bytes are those that were issued; otherwise another version of the program or of its libraries drew them."""


def issue_report(
    register: Register,
    who: str,
    asked: Asked,
    *,
    out: Path,
    replace: bool = False,
    today: date,
    progress: Progress | None = None,
) -> IssuedPaper:
    """Issue the report of a visit or of a job; of one that was issued before, its next issue.

    Raises Incomplete naming what is missing, InputRefused for a bad file, RegisterUnusable, Stopped.
    """
    wanted = _report_of_job(register, asked.job) if asked.job is not None else _report_of(register, asked.of_visit())
    return _issue(register, who, wanted, out=out, replace=replace, today=today, progress=progress)


def _report_of(register: Register, visit: Uid) -> "_Wanted":
    on = register.get(Visit, visit)
    site = register.get(Site, on.site)
    scope = f"visit of {date_words(on.date)} to {site.name}"
    return _Wanted(kind=DocumentKind.REPORT, site=site.uid, visit=visit, scope=scope)


def _report_of_job(register: Register, job: Uid) -> "_Wanted":
    done = register.get(Job, job)
    scope = f"job {done.name} at {register.get(Site, done.site).name}"
    return _Wanted(kind=DocumentKind.REPORT, site=done.site, job=job, scope=scope)


def issue_register(
    register: Register,
    who: str,
    asked: Asked,
    *,
    out: Path,
    replace: bool = False,
    today: date,
    progress: Progress | None = None,
) -> IssuedPaper:
    """Issue the register of a site, with its readings unless `details` says no; of one issued before, its next issue.

    Raises InputRefused for a bad file, NotFound, RegisterUnusable, Stopped.
    """
    site = register.get(Site, asked.of_site())
    scope = f"{SHORT_SCOPE if asked.details is False else FULL_SCOPE}{site.name}"
    wanted = _Wanted(kind=DocumentKind.REGISTER, site=site.uid, scope=scope)
    return _issue(register, who, wanted, out=out, replace=replace, today=today, progress=progress)


def print_again(
    register: Register,
    *,
    number: int,
    issue: int | None = None,
    out: Path,
    replace: bool = False,
    progress: Progress | None = None,
) -> IssuedPaper:
    """Print an issued document as it was, its latest issue where none is named, whatever has changed since.

    Raises NotFound, InputRefused for a bad file, RegisterUnusable where the history is no longer the one it told, Stopped.
    """
    refuse_place(out, replace=replace)
    document = issued_as(register, number, issue)
    told = _told(register, document, progress)
    drawn = _drawn(told, progress)
    same = sha256(drawn.content).hexdigest() == document.file_hash
    if not same and told.state is not None:
        # A paper that looks otherwise than the one that was issued must say so itself.
        drawn = _drawn(with_changes(told, state=with_changes(told.state, set_anew=True)), progress)
    with placed(out, replace=replace) as draft:
        draft.write_bytes(drawn.content)
    return IssuedPaper(document=document, summary=drawn.summary, same=same)


def issued_as(register: Register, number: int, issue: int | None = None) -> IssuedDocument:
    """The issued document of a number, its latest issue where none is named; raises NotFound."""
    found = register.find(IssuedDocument, number=number)
    if issue is not None:
        found = [each for each in found if each.issue == issue]
    if not found:
        named = f"document {number}" if issue is None else f"document {number}, issue {issue}"
        raise NotFound(f"No {named} was issued from this register; `appreg list issued` shows those that were.")
    return max(found, key=lambda each: each.issue)


class _Wanted(Struct, frozen=True, kw_only=True):
    """What is to be issued."""

    kind: DocumentKind
    site: Uid
    visit: Uid | None = None
    job: Uid | None = None
    scope: str


def _issue(
    register: Register,
    who: str,
    wanted: _Wanted,
    *,
    out: Path,
    replace: bool,
    today: date,
    progress: Progress | None,
) -> IssuedPaper:
    refuse_place(out, replace=replace)
    register.require_writable()
    document = _next_issue(register, who, wanted, today)
    drawn = _drawn(_told(register, document, progress), progress)
    with placed(out, replace=replace) as draft:
        draft.write_bytes(drawn.content)
        with register.change(who, f"issue {document.called}") as change:
            _refuse_taken(register, document)
            document = with_changes(document, uid=change.new_uid(), file_hash=sha256(drawn.content).hexdigest())
            change.put(document)
    return IssuedPaper(document=document, summary=drawn.summary)


def _next_issue(register: Register, who: str, wanted: _Wanted, today: date) -> IssuedDocument:
    issued = register.find(IssuedDocument)
    earlier = [
        each
        for each in issued
        if (each.kind, each.site, each.visit, each.job) == (wanted.kind, wanted.site, wanted.visit, wanted.job)
    ]
    end = journal_end(register.rows)
    return IssuedDocument(
        uid=_UNPLACED,
        number=earlier[0].number if earlier else max((each.number for each in issued), default=0) + 1,
        issue=max((each.issue for each in earlier), default=0) + 1,
        kind=wanted.kind,
        site=wanted.site,
        visit=wanted.visit,
        job=wanted.job,
        on=today,
        scope=wanted.scope,
        position=end.line,
        head=end.hash,
        file_hash="",
        author=who,
    )


def _refuse_taken(register: Register, document: IssuedDocument) -> None:
    if register.find(IssuedDocument, number=document.number, issue=document.issue):
        raise InputRefused(f"Another desk issued {document.called} meanwhile; issue it again, and it gets the next.")


def _told(register: Register, document: IssuedDocument, progress: Progress | None) -> Told:
    """What it tells by the journal up to its line alone, so that it is the same whenever it is drawn."""
    later = document.issue > 1
    told = told_then(register, document, shared(progress, 0, _GATHERED // 2 if later else _GATHERED))
    changes: tuple[str, ...] = ()
    if later:
        before = issued_as(register, document.number, document.issue - 1)
        changes = changes_between(told_then(register, before, shared(progress, _GATHERED // 2, _GATHERED)), told)
        if before.is_short != document.is_short:
            annex = _LEFT_OUT if document.is_short else _TAKEN_IN
            changes = (annex, *(each for each in changes if each != NOTHING_CHANGED))
    seal = document_seal(register.origin, seal_at(document.position, document.head))
    state = DocumentState(number=document.number, issue=document.issue, on=document.on, seal=seal, changes=changes)
    if isinstance(told, RegisterDocument):
        # Whoever holds an issued register has no other place to look a reading up, unless it says that it is the short one.
        return with_changes(told, state=state, details=not document.is_short)
    return with_changes(told, state=state)


def _drawn(told: Told, progress: Progress | None) -> DrawnDocument:
    drawing = shared(progress, _GATHERED, 100)
    if isinstance(told, ReportDocument):
        from appreg.paper.documents.report_document import drawn_report  # noqa: PLC0415 - drawing costs others dearly

        return drawn_report(told, drawing)
    from appreg.paper.documents.register_document import drawn_register  # noqa: PLC0415 - the same

    return drawn_register(told, drawing)


def told_then(register: Register, document: IssuedDocument, progress: Progress | None = None) -> Told:
    """What an issued document told, by the journal up to its line; raises RegisterUnusable, Stopped."""
    with as_it_stood(register, document.position, document.head, progress) as then:
        if document.visit is not None:
            return reported_document(then, visit=document.visit, today=document.on)
        if document.job is not None:
            return job_document(then, job=document.job, today=document.on)
        return site_document(then, site=document.site, today=document.on)
