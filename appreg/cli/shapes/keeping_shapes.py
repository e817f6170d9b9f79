"""Registers made, checked, copied and restored, and documents written, as JSON."""

from typing import Literal, NotRequired, TypedDict

from appreg.cli.shapes.plain_shapes import Day


class ProblemShape(TypedDict):
    """Something that is wrong in a register."""

    place: str
    problem: str


class NewRegisterAnswer(TypedDict):
    """What `new FILE` writes."""

    format: Literal["appreg.new-register"]
    version: Literal[1]
    register: str
    categories: int


class DemoAnswer(TypedDict):
    """What `demo --no-ui` writes."""

    format: Literal["appreg.demo"]
    version: Literal[1]
    register: str
    sites: int
    items: int
    inspections: int
    failed: int
    overdue: int
    """Items."""
    overdue_inspections: int
    """Of these: an item may wait for two."""
    never_inspected: int
    waiting_labels: int


class AskedSeal(TypedDict):
    """A seal that was asked about."""

    seal: str
    answer: str


class VerificationAnswer(TypedDict):
    """What `verify` writes."""

    format: Literal["appreg.verification"]
    version: Literal[1]
    register: str
    sound: bool
    problems: list[ProblemShape]
    seal: str | None
    remarks: list[str]
    asked: NotRequired[AskedSeal]
    """Where a seal was given."""
    accepted: NotRequired[bool]
    """Where it was to be accepted."""


class JournalEndShape(TypedDict):
    """How far a register goes."""

    line: int
    last_saved: str
    """The time of that line of the journal."""


class BackupAnswer(JournalEndShape):
    """What `backup` writes."""

    format: Literal["appreg.backup"]
    version: Literal[1]
    file: str
    bytes: int
    sound: bool
    problems: list[ProblemShape]


class CopiedAnswer(JournalEndShape):
    """What `copy` writes."""

    format: Literal["appreg.copied"]
    version: Literal[1]
    register: str
    sound: bool
    advice: list[str]
    """What to mind from now on."""


class LeftItemShape(TypedDict):
    """An item that was at the site, and is there no more."""

    item: str
    """By its tag there and its name."""
    on: str
    """The day on which it was moved away."""


class HandedOverAnswer(TypedDict):
    """What `hand-over` writes."""

    format: Literal["appreg.handed-over"]
    version: Literal[1]
    file: str
    site: str
    encrypted: bool
    records: dict[str, int]
    """In the file, by kind."""
    left_out: dict[str, int]
    """Those that tell of another client, by kind."""
    left: list[LeftItemShape]
    lines: int
    """Of the journal, told in the file."""
    seal: str
    """Of the line that covers all of them."""


class ExportedAnswer(TypedDict):
    """What `export` writes."""

    format: Literal["appreg.exported"]
    version: Literal[1]
    file: str
    """Or the folder."""
    form: Literal["register-lines", "site-folder", "items"]
    rows: int
    """Of a whole register its lines, of others its items."""


class ImportedRegisterAnswer(JournalEndShape):
    """What `import FILE.jsonl` writes."""

    format: Literal["appreg.imported-register"]
    version: Literal[1]
    register: str


class ImportedSiteShape(TypedDict):
    """A site that came in."""

    site: str
    items: int
    inspections: int


class ImportedSitesAnswer(TypedDict):
    """What `import FOLDER` writes."""

    format: Literal["appreg.imported-sites"]
    version: Literal[1]
    applied: bool
    """False: it was tried only."""
    sites: list[ImportedSiteShape]


class KeptCopyShape(TypedDict):
    """One kept copy."""

    file: str
    made: str
    """ISO 8601, as the name of the copy tells it."""
    line: int | None
    bytes: int
    sound: bool
    set_aside: bool
    """It is what a restore put aside."""


class CopiesAnswer(TypedDict):
    """What `restore --list` writes."""

    format: Literal["appreg.copies"]
    version: Literal[1]
    register: str
    copies: list[KeptCopyShape]


class LackingShape(TypedDict):
    """What a copy lacks of the register that stood there."""

    standing: str
    lines: int
    changes: int
    inspections: int
    items: int
    half_filled: int


class RestoredAnswer(JournalEndShape):
    """What `restore` writes."""

    format: Literal["appreg.restored"]
    version: Literal[1]
    register: str
    copy: str
    set_aside: str | None
    lacking: LackingShape | None
    """None: nothing stood there, or it could not be read."""
    said: list[str]


class LeftOutLabel(TypedDict):
    """A label that was not printed."""

    tag: str
    why: str


class SpoiltLabelShape(LeftOutLabel):
    """A label that must be destroyed."""

    sheet: int
    place: int


class JobShape(TypedDict):
    """What a printer's queue took."""

    number: int
    """In `list printed`."""
    printer: str
    queued_as: str
    """As the queue numbers it: Office-12."""
    copies: int
    pages: str
    """Those asked for: 1-3,7; empty: all."""


class LabelsAnswer(TypedDict):
    """What `print labels` writes."""

    format: Literal["appreg.labels"]
    version: Literal[1]
    file: str | None
    """None: it was printed, and no file kept."""
    labels: int
    sheets: int
    next_start: int
    counted_as_printed: bool
    missing_glyphs: list[str]
    lacking: list[str]
    left_out: list[LeftOutLabel]
    destroy: list[SpoiltLabelShape]
    printed: NotRequired[JobShape]
    """Where a printer took it; the labels on its pages count as printed with that."""


class PlacedLabel(TypedDict):
    """One label on its place."""

    sheet: int
    place: int
    tag: str
    says: str


class LabelsPreview(TypedDict):
    """What `print labels --preview` writes."""

    format: Literal["appreg.labels-preview"]
    version: Literal[1]
    labels: list[PlacedLabel]
    left_out: list[LeftOutLabel]


class StockShape(TypedDict):
    """Something to print labels on."""

    id: str
    title: str
    feed: Literal["sheet", "roll"]
    shape: Literal["flat", "flag", "round"]
    places: int
    """Labels a page."""
    label_width_mm: float
    label_height_mm: float
    code: bool
    """It has room for a code."""
    own: bool
    """It stands in the person's own file."""
    basis: str


class StocksAnswer(TypedDict):
    """What `print labels --stocks` writes."""

    format: Literal["appreg.stocks"]
    version: Literal[1]
    own_file: str
    stocks: list[StockShape]
    faults: list[str]
    """What keeps stock of that file from being printed on."""


class ConfirmedAnswer(TypedDict):
    """What `print labels --confirm` writes."""

    format: Literal["appreg.labels-confirmed"]
    version: Literal[1]
    file: str
    printed: int
    waiting: int
    destroy: list[SpoiltLabelShape]


class SpoiledAnswer(TypedDict):
    """What `print labels --print-job` writes."""

    format: Literal["appreg.labels-spoiled"]
    version: Literal[1]
    job: int
    waiting: int


class IssueShape(TypedDict):
    """As what a document was issued."""

    number: int
    issue: int
    on: Day
    same_bytes: bool
    """The file is byte for byte the one that was issued."""


class DocumentAnswer(TypedDict):
    """What `print register`, `print report` and `print issued` write."""

    format: Literal["appreg.document"]
    version: Literal[1]
    file: str | None
    """None: it was printed, and no file kept."""
    document: str
    missing_glyphs: list[str]
    issued: NotRequired[IssueShape]
    """Where it was issued, or had been."""
    printed: NotRequired[JobShape]
    """Where a printer took it."""


ReminderShape = TypedDict(
    "ReminderShape", {"file": str, "for": str, "address": str | None, "sites": list[str], "items": int}
)
"""A draft message; `for` names a person or a client, address null: the register holds none."""


class RemindersAnswer(TypedDict):
    """What `remind` writes."""

    format: Literal["appreg.reminders"]
    version: Literal[1]
    messages: list[ReminderShape]


class SettingShape(TypedDict):
    """One setting."""

    name: str
    value: str | int | bool
    usual: str | int | bool
    about: str


class SettingsAnswer(TypedDict):
    """What `settings` writes."""

    format: Literal["appreg.settings"]
    version: Literal[1]
    file: str
    settings: list[SettingShape]


class ErrorAnswer(TypedDict):
    """What any command that was asked for JSON writes where it could not do what it was asked for."""

    format: Literal["appreg.error"]
    version: Literal[1]
    error: str
    """One sentence: what, where, what to do."""
    field: str | None
    """The name of what was asked for, where one thing typed is at fault."""
    exit_code: int
