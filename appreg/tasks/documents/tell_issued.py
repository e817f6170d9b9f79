"""Tell what was issued, and what a document would tell otherwise today than when it was last issued."""

from datetime import date
from typing import Final

from appreg.core.records.issued_documents import DocumentKind, IssuedDocument
from appreg.core.records.kept_records import Site, Visit
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.told_tables import CellKind, TableColumn, ToldTable, one_group
from appreg.errors import InputRefused
from appreg.paper.documents.list_content import ListDocument
from appreg.register.lists.damaged_items import refuse_stray_records
from appreg.register.opening.register_file import Register
from appreg.tasks.documents.issue_document import told_then
from appreg.tasks.documents.list_issued import list_issued
from appreg.tasks.documents.paper_kinds import Asked
from appreg.tasks.documents.tell_changes import NOTHING_CHANGED, Told, changes_between
from appreg.tasks.documents.tell_sites import date_form_of, title_of
from appreg.tasks.documents.write_site_register import site_document
from appreg.tasks.documents.write_visit_report import visit_document

_ISSUES: Final = (
    TableColumn(name="document", head="document", kind=CellKind.NUMBER, weight=13),
    TableColumn(name="issue", head="issue", kind=CellKind.NUMBER, weight=9),
    TableColumn(name="on", head="issued on", kind=CellKind.DATE, weight=18),
    TableColumn(name="kind", head="kind", weight=14),
    TableColumn(name="of", head="of", weight=56),
    TableColumn(name="by", head="by", weight=22),
    TableColumn(name="later", head="later issue", weight=18),
    TableColumn(name="seal", head="seal", weight=52),
)
_CHANGES: Final = (
    TableColumn(name="of", head="of", kind=CellKind.TAG, weight=24),
    TableColumn(name="change", head="what is otherwise", weight=120),
)


def issues_document(register: Register, asked: Asked, today: date) -> ListDocument:
    """Every issue of every document, the latest first."""
    rows = tuple(
        (
            line.document.number,
            line.document.issue,
            line.document.on,
            line.document.kind.value,
            line.document.scope,
            line.document.author,
            "" if line.latest else "there is one",
            str(line.seal),
        )
        for line in list_issued(register, site=asked.site)
    )
    table = ToldTable(
        title="Issued documents", columns=_ISSUES, groups=one_group(rows), none="no document was issued yet"
    )
    return ListDocument(
        kind="List of issued documents",
        title=title_of(register, asked.site),
        tables=(table,),
        after=("Each is printed again as it was with appreg print issued --document NUMBER.ISSUE.",),
        across=True,
        dates=date_form_of(register, asked.site),
        printed=today,
    )


def changes_document(register: Register, asked: Asked, today: date) -> ListDocument:
    """What the report of a visit, or a site's register, tells otherwise than its last issue.

    Raises InputRefused where it was never issued, RegisterUnusable where the history that it told is no longer there.
    """
    refuse_stray_records(register)
    site = register.get(Visit, asked.visit).site if asked.visit else asked.of_site()
    last = _last_issue(register, asked)
    now: Told = (
        visit_document(register, visit=asked.visit, today=today)
        if asked.visit
        else site_document(register, site=site, today=today)
    )
    changes = changes_between(told_then(register, last), now)
    rows = tuple(_row(change) for change in changes if change != NOTHING_CHANGED)
    table = ToldTable(
        title="Changes",
        columns=_CHANGES,
        groups=one_group(rows),
        none="nothing of what the document tells has changed",
    )
    return ListDocument(
        kind="Changes since the last issue",
        title=register.get(Site, site).name,
        subtitle=f"Since {last.called}, of {date_words(last.on)}: {last.scope}",
        tables=(table,),
        dates=date_form_of(register, site),
        printed=today,
    )


def _last_issue(register: Register, asked: Asked) -> IssuedDocument:
    kind = DocumentKind.REPORT if asked.visit else DocumentKind.REGISTER
    issued = (
        register.find(IssuedDocument, visit=asked.visit)
        if asked.visit
        else register.find(IssuedDocument, site=asked.site)
    )
    found = [each for each in issued if each.kind is kind]
    if not found:
        raise InputRefused(f"The {kind} was never issued, so nothing is known to have changed since; issue it first.")
    return max(found, key=lambda each: each.issue)


def _row(change: str) -> tuple[str, str]:
    """Of which item or record, and what."""
    of, colon, what = change.partition(": ")
    return (of, what) if colon else ("", change)
