"""Every document that is printed of the register, declared once: commands, choosers and help come from here."""

from collections.abc import Iterable
from datetime import date
from enum import StrEnum
from typing import Final

from msgspec import Struct

from appreg.core.values.uids import Uid
from appreg.errors import InputRefused

PDF: Final = ".pdf"
CSV: Final = ".csv"


class Of(StrEnum):
    """What a document is of."""

    ALL = "all sites"
    SITE = "site"
    VISIT = "visit"
    JOB = "job"
    ITEM = "item"


class Ask(StrEnum):
    """What a document may be told beside that; each is an option of its name."""

    SINCE = "since"
    UNTIL = "until"
    WITHIN = "within"
    MAKE = "make"
    MODEL = "model"
    DETAILS = "details"


ASK_HELP: Final = {
    Ask.SINCE: "from this day on, that day included",
    Ask.UNTIL: "up to this day, that day included",
    Ask.WITHIN: "how many days ahead is soon",
    Ask.MAKE: "of this make alone",
    Ask.MODEL: "of this model alone",
    Ask.DETAILS: "every reading of each item too, as an annex",
}


class Asked(Struct, frozen=True, kw_only=True):
    """What a person asked a document for; at most one of site, visit, job and item."""

    site: Uid | None = None
    visit: Uid | None = None
    job: Uid | None = None
    item: Uid | None = None
    since: date | None = None
    until: date | None = None
    within: int | None = None
    make: str = ""
    model: str = ""
    details: bool = False

    def of_site(self) -> Uid:
        """The site; raises InputRefused where none is named."""
        return _named(self.site, "Say of which site, with --site NAME.")

    def of_visit(self) -> Uid:
        """The visit; raises InputRefused where none is named."""
        return _named(self.visit, "Say of which visit, with --visit KEY, or --site NAME for its latest.")

    def of_item(self) -> Uid:
        """The item; raises InputRefused where none is named."""
        return _named(self.item, "Say of which item, with --item TAG.")


def _named(uid: Uid | None, otherwise: str) -> Uid:
    if uid is None:
        raise InputRefused(otherwise)
    return uid


class PaperKind(Struct, frozen=True, kw_only=True):
    """A document: what it is called, what it needs, and which task makes it."""

    name: str
    """After `appreg print`, and at the start of its file's name."""
    label: str
    """In choosers."""
    help: str
    """What it tells, in half a sentence."""
    of: tuple[Of, ...]
    """What it can be of, the usual first; where `ALL` is among them nothing need be named."""
    asks: tuple[Ask, ...] = ()
    needs: tuple[Ask, ...] = ()
    """Those of them that must be told."""
    tells: str = ""
    """module:function below tasks.documents, (register, asked, today) → ListDocument: drawn, or as a file of rows.

    Where the document also `writes` its pages, rows alone are taken from it.
    """
    writes: str = ""
    """module:function below tasks.documents that writes a PDF itself, called as `write_paper` calls it."""
    issues: str = ""
    """module:function below tasks.documents that issues it, called as `issue_paper` calls it; empty: it is not issued."""

    @property
    def endings(self) -> tuple[str, ...]:
        """The forms in which it is written, by the ending of the file's name."""
        return (PDF, CSV) if self.tells else (PDF,)


PAPERS: Final = (
    PaperKind(
        name="register",
        label="register of the site",
        help="every item of a site with its latest result, failures first",
        of=(Of.SITE,),
        asks=(Ask.DETAILS,),
        tells="write_site_register:register_rows",
        writes="write_site_register:write_register_asked",
        issues="issue_document:issue_register_asked",
    ),
    PaperKind(
        name="report",
        label="report of inspection",
        help="what was inspected on a visit or in a job, for the duty holder",
        of=(Of.VISIT, Of.JOB),
        writes="write_visit_report:write_report_asked",
        issues="issue_document:issue_report_asked",
    ),
    PaperKind(
        name="due",
        label="due list",
        help="what is overdue, due soon or never inspected, room by room",
        of=(Of.SITE, Of.ALL),
        asks=(Ask.WITHIN,),
        tells="tell_due:due_document",
    ),
)
"""In the order in which they are offered."""
_BY_NAME: Final = {each.name: each for each in PAPERS}


def paper_named(name: str) -> PaperKind:
    """The document of a name that is declared here."""
    return _BY_NAME[name]


def papers_of(*of: Of) -> tuple[PaperKind, ...]:
    """Those that can be of one of these things."""
    return tuple(each for each in PAPERS if set(each.of) & set(of))


def asked_by(papers: Iterable[PaperKind], ask: Ask) -> list[str]:
    """The names of those that may be told something."""
    return [each.name for each in papers if ask in each.asks]
