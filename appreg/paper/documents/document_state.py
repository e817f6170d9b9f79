"""Which state of the register a document tells, as it says itself: issued or only printed, by a line and a small code."""

from datetime import date
from typing import Final

from msgspec import Struct

from appreg.core.records.seals import DocumentSeal
from appreg.core.values.dates_in_words import DateForm, date_words

_SET_ANEW: Final = "printed again, set otherwise than the one that was issued"


class DocumentState(Struct, frozen=True, kw_only=True):
    """What a document says of itself."""

    number: int = 0
    """Nought: it was not issued."""
    issue: int = 0
    on: date
    """The day of issue, or of the state that is printed."""
    seal: DocumentSeal
    set_anew: bool = False
    """Printed again by a version of the program that sets it otherwise than the one that issued it."""
    changes: tuple[str, ...] = ()
    """Of a later issue: what changed since the one before, a sentence each."""

    @property
    def called(self) -> str:
        """In the foot of each page: document 17, issue 2; empty where it was not issued."""
        return f"document {self.number}, issue {self.issue}" if self.number else "not issued"

    def words(self, dates: DateForm = DateForm.WORDS) -> str:
        """The line on its first page."""
        day = date_words(self.on, dates)
        if self.number:
            anew = f"; {_SET_ANEW}" if self.set_anew else ""
            return f"Document {self.number}, issue {self.issue}, of {day}{anew}"
        return f"A print of the state of {day}, not issued"

    @property
    def seal_words(self) -> str:
        """The seal as it stands there."""
        return f"seal {self.seal}"

    @property
    def explained(self) -> str:
        """What the seal is good for, at the end of the document."""
        return (
            "The seal names the register, the last line of its journal that this document tells, and the sum over all lines up to "
            f"there: whoever has the register sees with appreg verify --seal “{self.seal}” whether it still holds that "
            "history unaltered."
        )
