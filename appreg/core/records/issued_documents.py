"""Documents that were issued: what each is, and the state of the register that it tells."""

from datetime import date
from enum import StrEnum
from typing import Final

from msgspec import Struct

from appreg.core.values.uids import Uid


class DocumentKind(StrEnum):
    """What an issued document tells of."""

    REPORT = "report"
    """One visit, or one job of several."""
    REGISTER = "register"
    """Every item of a site."""


FULL_SCOPE: Final = "every item of "
"""How the scope of an issued register begins, before the site's name."""
SHORT_SCOPE: Final = "every item on a line, without readings, of "
"""The same of one without its annex: what was chosen is kept in these words, which no name of a site can follow from."""


class IssuedDocument(Struct, frozen=True, kw_only=True):
    """One issue of a document: from this it is printed again as it was; never changed, only followed by a later issue."""

    uid: Uid
    number: int
    """Counted over the whole register, 1 for the first; all issues of one document share it."""
    issue: int
    """1 for the first."""
    kind: DocumentKind
    site: Uid
    visit: Uid | None = None
    """Of a report of one visit: the visit."""
    on: date
    """The day of issue, which it bears as the day it was made."""
    scope: str
    """What it tells of, in words."""
    position: int
    """The last line of the register's own journal that it tells."""
    head: str
    """The SHA-256 of that line, in hexadecimal."""
    file_hash: str
    """The SHA-256 of the file, in hexadecimal."""
    author: str
    """Who issued it."""
    job: Uid | None = None
    """Of a report of a job: the job."""

    @property
    def is_short(self) -> bool:
        """A register that was issued without the readings of each item."""
        return self.kind is DocumentKind.REGISTER and self.scope.startswith(SHORT_SCOPE)

    @property
    def called(self) -> str:
        """As documents and lists name it: document 17, issue 2."""
        return f"document {self.number}, issue {self.issue}"
