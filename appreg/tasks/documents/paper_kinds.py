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
XLSX: Final = ".xlsx"


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
    INSTRUMENT = "instrument"
    MAKE = "make"
    MODEL = "model"
    DETAILS = "details"
    ROOM = "room"
    ALSO = "also"
    SPARE = "spare"
    SIZE = "size"


ASK_HELP: Final = {
    Ask.SINCE: "from this day on, that day included",
    Ask.UNTIL: "up to this day, that day included",
    Ask.WITHIN: "how many days ahead is soon",
    Ask.INSTRUMENT: "what was tested with it: its serial number, name or key",
    Ask.MAKE: "of this make alone",
    Ask.MODEL: "of this model alone",
    Ask.DETAILS: "every reading of each item too, as an annex; an issued register has it unless this says no",
    Ask.ROOM: "of one location alone",
    Ask.ALSO: "further items on it, by their tags, say HR-002,HR-007..HR-009",
    Ask.SPARE: "so many blank places for what is not in the register",
    Ask.SIZE: "the sheet, a4 or a5",
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
    instrument: str = ""
    make: str = ""
    model: str = ""
    details: bool | None = None
    """None: as is usual, with an issued register and not with one that is only printed."""
    room: str = ""
    also: str = ""
    further: tuple[Uid, ...] = ()
    """Items that were chosen beside the one named, for documents that may be told `also`."""
    spare: int | None = None
    size: str = ""

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
        return (PDF, CSV, XLSX) if self.tells else (PDF,)


PAPERS: Final = (
    PaperKind(
        name="register",
        label="register of the site",
        help="every item of a site with its latest result, failures first",
        of=(Of.SITE,),
        asks=(Ask.DETAILS,),
        tells="write_site_register:register_rows",
        writes="write_site_register:write_register_asked",
        issues="issue_document:issue_register",
    ),
    PaperKind(
        name="report",
        label="report of inspection",
        help="what was inspected on a visit or in a job, for the duty holder",
        of=(Of.VISIT, Of.JOB),
        writes="write_visit_report:write_report_asked",
        issues="issue_document:issue_report",
    ),
    PaperKind(
        name="due",
        label="due list",
        help="what is overdue, due soon or never inspected, room by room",
        of=(Of.SITE, Of.ALL),
        asks=(Ask.WITHIN,),
        tells="tell_due:due_document",
    ),
    PaperKind(
        name="remedial",
        label="remedial list",
        help="what failed and is not put right, with what to bring: fuses by size, repairs by check",
        of=(Of.SITE, Of.ALL),
        tells="tell_remedial:remedial_document",
    ),
    PaperKind(
        name="materials",
        label="materials and repairs",
        help="the quantities of the remedial list: 12 fuses of 3 A, and for which items",
        of=(Of.SITE, Of.ALL),
        tells="tell_remedial:materials_document",
    ),
    PaperKind(
        name="tally",
        label="quantities of work done",
        help="how many inspections and tests of which kind were made, for an invoice",
        of=(Of.SITE, Of.VISIT, Of.ALL),
        asks=(Ask.SINCE, Ask.UNTIL),
        tells="tell_tally:tally_document",
    ),
    PaperKind(
        name="recall",
        label="recall list",
        help="all that was tested with an instrument, or all of a make and model",
        of=(Of.ALL, Of.SITE, Of.ITEM),
        asks=(Ask.INSTRUMENT, Ask.SINCE, Ask.UNTIL, Ask.MAKE, Ask.MODEL),
        tells="tell_recall:recall_document",
    ),
    PaperKind(
        name="changes",
        label="changes since the last issue",
        help="what the register or the report would tell otherwise today than when it was last issued",
        of=(Of.SITE, Of.VISIT),
        tells="tell_issued:changes_document",
    ),
    PaperKind(
        name="issues",
        label="list of issued documents",
        help="what was issued, when and by whom, each with its seal",
        of=(Of.SITE, Of.ALL),
        tells="tell_issued:issues_document",
    ),
    PaperKind(
        name="evidence",
        label="evidence sheet",
        help="what past inspections say of each interval, with the counts it follows from",
        of=(Of.SITE, Of.ALL),
        tells="tell_evidence:evidence_document",
    ),
    PaperKind(
        name="summary",
        label="summary for the duty holder",
        help="one page: how the items of a site stand, what to do by when",
        of=(Of.SITE,),
        writes="write_summary:write_summary_asked",
    ),
    PaperKind(
        name="room",
        label="list of a location",
        help="what stands there, when it was tested and looked at",
        of=(Of.SITE,),
        asks=(Ask.ROOM,),
        needs=(Ask.ROOM,),
        tells="tell_room:room_document",
    ),
    PaperKind(
        name="walk-round",
        label="walk-round checklist",
        help="room by room what stands there, its last results, boxes and blank lines",
        of=(Of.SITE,),
        asks=(Ask.ROOM, Ask.SPARE),
        writes="write_walk_round:write_walk_round_asked",
    ),
    PaperKind(
        name="recording",
        label="blank recording sheet",
        help="each item with its limits worked out and boxes for a pen, for a day without the program",
        of=(Of.SITE, Of.ITEM),
        asks=(Ask.ROOM, Ask.ALSO, Ask.SPARE),
        writes="write_recording_sheet:write_recording_asked",
    ),
    PaperKind(
        name="results",
        label="result sheet",
        help="an item with every inspection, its readings over the years drawn against the limit",
        of=(Of.ITEM,),
        writes="write_result_sheet:write_results_asked",
    ),
    PaperKind(
        name="notice",
        label="notice of failure",
        help="not to be used: what failed, whom to ask, what would put it right",
        of=(Of.ITEM,),
        asks=(Ask.SIZE,),
        writes="write_notice:write_notice",
    ),
    PaperKind(
        name="slip",
        label="issue and return slip",
        help="what goes out and comes back, when it was tested, who took it",
        of=(Of.ITEM,),
        asks=(Ask.ALSO, Ask.SIZE),
        writes="write_slip:write_slip",
    ),
    PaperKind(
        name="user-checks",
        label="card for user checks",
        help="what users look at before use, how often, whom they tell",
        of=(Of.SITE, Of.ITEM),
        asks=(Ask.ROOM, Ask.ALSO, Ask.SIZE),
        writes="write_check_card:write_check_card",
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
