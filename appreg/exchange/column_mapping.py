"""Which column of a table from elsewhere fills which field, and how its cells are read."""

from collections.abc import Mapping
from enum import StrEnum
from typing import Final

from msgspec import Struct
from msgspec import field as made_anew

from appreg.exchange.import_fields import FieldForm, ImportField, ImportKind, by_name

OVER_RANGE: Final = (
    "OL",
    "O.L",
    "O/L",
    "OVER",
    "OVERRANGE",
    "OVER RANGE",
    "OFL",
    ">MAX",
    "MAX",
    "+++",
    "∞",
    "INF",
    "> RANGE",
)
"""What instruments and people write for a reading beyond the range, in capitals; common practice."""
BLANKS: Final = (
    "-",
    "--",
    "---",
    "–",
    "—",
    "n/a",
    "na",
    "n.a.",
    "none taken",
    "not tested",
    "not done",
    "nt",
    "n/t",
    "null",
    "nil",
    "#n/a",
)
"""What stands in a cell where nothing was found, in small letters; a check told so counts as not done."""
TOTALS: Final = (
    "total",
    "totals",
    "grand total",
    "subtotal",
    "sum",
    "count",
    "end of",
    "summe",
    "gesamt",
    "anzahl",
    "somme",
    "nombre",
)
"""What the first cell of a line begins with that adds up the lines above, in small letters."""


class DateOrder(StrEnum):
    """In which order a date in figures has its parts."""

    DAY_FIRST = "day-month-year"
    MONTH_FIRST = "month-day-year"
    YEAR_FIRST = "year-month-day"


class Layout(StrEnum):
    """What one line of a table tells."""

    WIDE = "an item a line"
    LONG = "a test a line"


class MappedColumn(Struct, frozen=True, kw_only=True):
    """One column of the table, and what becomes of it."""

    head: str
    """As it stands above the column, heads over two lines with a blank between; may be empty."""
    position: int
    """From 1, where the column stood; by it a column is found whose head is empty or stands twice."""
    field: str = ""
    """The name of the field that it fills; empty: it is not taken."""
    unit: str = ""
    """The unit of cells that have none; empty: the field's own."""
    units_beside: bool = False
    """The column right of it holds the units of its readings."""
    date_order: DateOrder | None = None
    """None: that of the whole table."""
    decimal: str = ""
    """A point or a comma before decimals; empty: that of the whole table."""
    values: Mapping[str, str] = made_anew(default_factory=dict)
    """By text of a cell, capitals or not: what it stands for."""
    reason: str = ""
    """Why it was guessed so, in words; empty: a person said it."""


def may_be_on_every_line(field: ImportField) -> bool:
    """Tell whether a field can be the same on every line: no reading is."""
    return field.form is not FieldForm.READING and field.name not in {"reading", "verdict"}


class Asks(StrEnum):
    """What a person is asked to say of a mapping."""

    FIELD = "field"
    UNIT = "unit"
    DECIMAL = "decimal"
    DATE_ORDER = "date order"


class MappingProblem(Struct, frozen=True, kw_only=True):
    """Something that a mapping must say and that contents cannot tell."""

    column: str
    """The head of the column; empty: the whole table."""
    what: str
    todo: str
    position: int = 0
    """Of the column, from 1; 0: the whole table."""
    asks: Asks = Asks.FIELD
    """What answers it."""

    @property
    def sentence(self) -> str:
        """The problem as one sentence."""
        return f"{self.column + ': ' if self.column else ''}{self.what}; {self.todo}."


class ColumnMapping(Struct, frozen=True, kw_only=True):
    """How one table becomes lines of a kind."""

    kind: ImportKind
    name: str = ""
    """What a person calls it; empty: it is not kept."""
    layout: Layout = Layout.WIDE
    sheet: str = ""
    """Empty: the first in sight."""
    encoding: str = ""
    """Empty: as found; so are the next two."""
    delimiter: str = ""
    quote: str = ""
    lines_before: int = 0
    """Lines above the heads, empty ones not counted."""
    head_lines: int = 1
    """Lines that hold the heads; 0: there are none."""
    skip: tuple[str, ...] = TOTALS
    """What the first cell of a line begins with that is no line of its own, in small letters."""
    date_order: DateOrder | None = None
    """None: days in figures are not read but for ISO 8601 and those with points, whose day comes first."""
    decimal: str = "."
    over_range: tuple[str, ...] = OVER_RANGE
    blanks: tuple[str, ...] = BLANKS
    columns: tuple[MappedColumn, ...]
    constants: Mapping[str, str] = made_anew(default_factory=dict)
    """By field: what stands there on every line whose own cell is empty, as a person would type it."""
    tests: Mapping[str, str] = made_anew(default_factory=dict)
    """A test a line: by the name of a test in the table, in small letters, the check."""
    problems: tuple[MappingProblem, ...] = ()
    """What must be said before lines can be read; a kept mapping has none."""

    @property
    def fields(self) -> Mapping[str, ImportField]:
        """What columns and constants may fill, by name."""
        return by_name(self.kind, one_test=self.layout is Layout.LONG)

    def column_of(self, name: str) -> MappedColumn | None:
        """The column that fills a field."""
        return next((each for each in self.columns if each.field == name), None)
