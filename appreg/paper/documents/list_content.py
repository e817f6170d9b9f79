"""What a list holds as a document: what it is of, counts, sentences, and its tables."""

from datetime import date

from msgspec import Struct

from appreg.core.values.dates_in_words import DateForm, date_words
from appreg.core.values.told_tables import ToldTable
from appreg.paper.documents.document_state import DocumentState
from appreg.paper.page.document_parts import Particular
from appreg.paper.page.table_drawing import READING, Density


class ListDocument(Struct, frozen=True, kw_only=True):
    """A list for somebody to work with, drawn or as a file."""

    kind: str
    """What it is: due list."""
    title: str
    """What it tells of: a site's name, or all sites."""
    subtitle: str = ""
    particulars: tuple[Particular, ...] = ()
    counts: tuple[tuple[int, str], ...] = ()
    said: tuple[str, ...] = ()
    """Sentences before its tables."""
    tables: tuple[ToldTable, ...]
    """A file of rows holds the first."""
    after: tuple[str, ...] = ()
    """Sentences at its end: where figures come from, what they mean."""
    density: Density = READING
    across: bool = False
    """Its pages lie on their long side."""
    dates: DateForm = DateForm.WORDS
    printed: date
    """The day of the state it tells; also its creation date."""
    state: DocumentState | None = None
    """Which state of the register it tells, as it says itself."""

    @property
    def count(self) -> int:
        """How many rows its first table has."""
        return self.tables[0].count

    @property
    def beside(self) -> tuple[str, ...]:
        """What stands on its pages beside the tables, a sentence each, for whoever has the rows alone."""
        head = f"{self.kind}, {self.title}, as of {date_words(self.printed, self.dates)}"
        told = (
            ": ".join(part for part in (head, self.subtitle) if part),
            *(f"{each.label}: {', '.join(each.lines)}" for each in self.particulars),
            ", ".join(f"{number} {words}" for number, words in self.counts),
            *self.said,
            *self.after,
        )
        return tuple(each for each in told if each)
