"""What an import of a table comes to, as JSON."""

from typing import Literal, TypedDict

from appreg.exchange.import_fields import ImportKind
from appreg.exchange.source_file import SourceForm
from appreg.tasks.importing.row_plans import RowState


class ImportCounts(TypedDict):
    """Rows, by what they come to."""

    new: int
    changed: int
    same: int
    in_conflict: int
    unreadable: int


class MappedColumnShape(TypedDict):
    """A column of the table and the field that it fills."""

    head: str
    position: int
    """From 1."""
    field: str | None
    """Null: it is not taken."""
    reason: str
    """Why it was guessed so; empty where a person said it."""


class ImportedChange(TypedDict):
    """A field that a row gives or changes, in words."""

    field: str
    before: str | None
    after: str


class ImportedProblem(TypedDict):
    """What keeps a row out, or which cell of it is not taken."""

    column: str | None
    """Null: the whole row."""
    what: str
    todo: str
    sentence: str


class ImportedRow(TypedDict):
    """What a row comes to."""

    line: int
    state: RowState
    called: str
    changes: list[ImportedChange]
    problems: list[ImportedProblem]
    disagreements: list[str]
    """Of a result: where what the table states differs from what its readings come to."""


class ImportAnswer(TypedDict):
    """What `import` of a table writes."""

    format: Literal["appreg.import"]
    version: Literal[1]
    file: str
    form: SourceForm
    encoding: str | None
    delimiter: str | None
    sheet: str | None
    kind: ImportKind
    mapping: str | None
    """The name of the kept mapping that it was read by; null: it was guessed, or is in a file."""
    columns: list[MappedColumnShape]
    counts: ImportCounts
    passed_over: list[int]
    """The first lines taken for sums, or for heads that stand again."""
    made: dict[str, list[str]]
    """What else is made, by kind: the names of new locations, say."""
    rows: list[ImportedRow]
    """The first two thousand, and as many behind them with problems."""
    applied: bool
    change: str | None
    """The change in the journal by which it was taken in; null: nothing was changed."""
    copy: str | None
    """The copy that was kept before."""
