"""What was handed to a printer: which file, which queue took it, and whose labels were on its sheets."""

from datetime import date
from enum import StrEnum

from msgspec import Struct

from appreg.core.values.uids import Uid


class PrintedKind(StrEnum):
    """What a file that was printed is."""

    LABELS = "labels"
    DOCUMENT = "document"


class PrintJob(Struct, frozen=True, kw_only=True):
    """A file that a printer's queue took; never changed: what is printed once more is another."""

    uid: Uid
    number: int
    """Counted over the whole register, 1 for the first."""
    kind: PrintedKind
    what: str
    """What it was, in words: the register of Kiln Lane."""
    site: Uid | None = None
    """The site that all of it is about; None: several, or none."""
    document: Uid | None = None
    """The issued document that it was."""
    file_hash: str
    """The SHA-256 of the file, in hexadecimal."""
    sheets: int
    """Pages of the file, whichever of them were asked for."""
    printer: str
    """The queue that took it, by its name."""
    job: str
    """As the queue numbered it: Office-12."""
    copies: int
    pages: str = ""
    """Those that were asked for: 1-3,7; empty: all."""
    media: str = ""
    """The paper that was asked for, as the queue is told it; empty: whatever lies in it."""
    on: date
    at: str
    """The time of that day on this machine's clock, HH:MM."""
    author: str
    """Who had it printed."""
    labels: tuple[Uid, ...] = ()
    """The queued labels on the pages that were asked for."""
    places: tuple[str, ...] = ()
    """Where each of them lay: its sheet and its place, 2:13."""
