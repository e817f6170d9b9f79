"""What the import of a file comes to, row by row, before any of it is kept."""

from collections.abc import Mapping
from datetime import date
from enum import StrEnum
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Record
from appreg.core.values.text import shown
from appreg.core.values.toml_places import shortened
from appreg.core.values.uids import Uid
from appreg.exchange.file_problems import LONGEST_TOLD

if TYPE_CHECKING:
    from appreg.exchange.column_mapping import ColumnMapping
    from appreg.exchange.import_fields import ImportKind
    from appreg.exchange.source_file import Source

MOST_SHOWN: Final = 2000
"""Rows that a plan holds to be looked at; those with problems come on top, up to as many again."""


class RowState(StrEnum):
    """What a row of a file comes to."""

    NEW = "new"
    CHANGED = "changed"
    SAME = "same"
    CONFLICT = "in conflict"
    UNREADABLE = "unreadable"

    @property
    def is_taken(self) -> bool:
        """Taken in: it changes the register, or nothing of it needs to."""
        return self not in {RowState.CONFLICT, RowState.UNREADABLE}


class FieldChange(Struct, frozen=True):
    """One field that a row gives or changes, in words."""

    field: str
    before: str
    """Empty: nothing stood there."""
    after: str


class RowProblem(Struct, frozen=True):
    """What is wrong with a row, or what of it is not taken."""

    column: str
    """The head of the column, or the field; empty: the whole row."""
    what: str
    """Without a full stop."""
    todo: str
    """What to do about it, without a full stop."""

    @property
    def sentence(self) -> str:
        """The problem as one sentence, after whatever says where the row is."""
        place = f"{shortened(self.column)}: " if self.column else ""
        return shown(f"{place}{shortened(self.what, LONGEST_TOLD)}; {self.todo}.")


class PlannedRow(Struct, frozen=True, kw_only=True):
    """What one row of a file comes to."""

    line: int
    """Of the file, or of the sheet, from 1."""
    state: RowState
    called: str
    """What the row is about, as people know it: KL-001 Kettle."""
    changes: tuple[FieldChange, ...] = ()
    problems: tuple[RowProblem, ...] = ()
    """Of a row in conflict or unreadable what keeps it out; of a row that is taken, which cells of it are not."""
    disagreements: tuple[str, ...] = ()
    """Of a result: where what the file states differs from what the rule book makes of its readings."""


class RowOutcome(Struct, frozen=True, kw_only=True, gc=False):
    """What one row comes to, with the records that keep it; they are words only once somebody looks."""

    line: int
    state: RowState
    called: str
    before: Record | None = None
    """The record as it stands; None: there is none."""
    after: Record | None = None
    """The record as it would be kept; None: nothing is."""
    beside: tuple[Record, ...] = ()
    """What has to be kept ahead of it."""
    leaves: ServiceState | None = None
    """Out of service: the state that the item is set to once it is kept."""
    given: tuple[str, ...] = ()
    """The fields that the row fills."""
    problems: tuple[RowProblem, ...] = ()
    disagreements: tuple[str, ...] = ()


class ImportOrder(Struct, frozen=True, kw_only=True):
    """What is to be imported, and how it is to be understood."""

    source: "Source"
    mapping: "ColumnMapping"
    site: Uid | None
    """Where rows belong that name no site; None: each has to name one."""
    today: date
    read_from_items: bool = False
    """Somebody read the list from the items: what it says of them is as sure as if it were typed beside them."""
    give_tags: bool = False
    """A row without a tag that is like no item there gets the next tag of its site."""
    add_people: bool = False
    """People and instruments that results name and the register does not know are added, as the file names them."""
    labels: bool = False
    """The labels of results that are the newest of their items wait in the tray once they are taken in."""


class ImportPlan(Struct, frozen=True, kw_only=True):
    """What an import comes to; nothing of it has been kept."""

    order: ImportOrder
    kind: "ImportKind"
    counts: Mapping[RowState, int]
    """By state: how many rows."""
    rows: tuple[PlannedRow, ...]
    """The first rows in the order of the file, and those with problems after them; all of a file that is not longer."""
    made: Mapping[str, tuple[str, ...]]
    """What else is made, by kind in words: the names of new locations, say."""
    remarks: int = 0
    """Rows that are taken without some of their cells."""
    passed_over: tuple[int, ...] = ()
    """The first lines that are taken for sums of those above, or for heads that stand again."""

    @property
    def total(self) -> int:
        """Rows that were read."""
        return sum(self.counts.values())

    @property
    def taken(self) -> int:
        """Rows that change the register."""
        return self.counts[RowState.NEW] + self.counts[RowState.CHANGED]

    @property
    def left_out(self) -> int:
        """Rows that are not taken."""
        return self.counts[RowState.CONFLICT] + self.counts[RowState.UNREADABLE]
