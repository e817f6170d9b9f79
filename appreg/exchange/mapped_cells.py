"""One cell of a table from elsewhere as a person would type it into our own field."""

from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import Final

from appreg.core.records.checks import NO_TRIP
from appreg.core.rules.check_limits import UNIT_OF_CHECK
from appreg.core.rules.rcd_limits import RCD_CHECKS
from appreg.core.values.readings import Unit
from appreg.core.values.text import clean
from appreg.exchange.cell_days import day_of
from appreg.exchange.cell_figures import OVER, figure_of, reading_of, refuse_doubtful_mark
from appreg.exchange.cell_refused import CellRefused, quoted
from appreg.exchange.cell_words import answers_of, verdict_meant, word_meant
from appreg.exchange.column_mapping import ColumnMapping, MappedColumn
from appreg.exchange.import_fields import FieldForm, ImportField

_NO_TRIPS: Final = frozenset({NO_TRIP, "no trip", "not tripped", "did not trip"})
_NO_TRIP_OR_NO_TEST: Final = frozenset({"no", "nt", "n/t"})
"""Of half its rated current the first passes, and the second is no reading at all."""
_POINT: Final = "."
_LONGEST_TEXT: Final = 4000
"""Characters of a note; shorter fields are looked at where their record is kept."""
_LONGEST_BLANK: Final = 40
"""Characters; what stands for nothing is never longer."""


def as_typed(text: str, field: ImportField, column: MappedColumn, mapping: ColumnMapping, *, exact: bool) -> str:
    """The cell as typed, empty where it says nothing; `exact`: the file itself holds a figure or a day.

    Raises InputRefused, mostly CellRefused, where it is not what the field takes.
    """
    if field.form is FieldForm.TEXT and not column.values and len(text) > _LONGEST_BLANK:
        return clean(text, field=field.words, longest=_LONGEST_TEXT)
    word = text.casefold()
    meant = _translated(column, word)
    if meant is not None:
        return _refuse_made_up(text, word, meant, field, mapping)
    if field.form is FieldForm.TEXT:
        return "" if word in mapping.blanks else clean(text, field=field.words, longest=_LONGEST_TEXT)
    if field.name in _RCD_NAMES and _did_not_trip(text, word):
        return NO_TRIP
    if word in mapping.blanks:
        return ""
    return _READERS[field.form](text, field, column, mapping, exact)


@lru_cache(64)
def _small(column: tuple[tuple[str, str], ...]) -> Mapping[str, str]:
    return {text.casefold(): meant for text, meant in column}


def _translated(column: MappedColumn, word: str) -> str | None:
    return _small(tuple(column.values.items())).get(word) if column.values else None


def _refuse_made_up(text: str, word: str, meant: str, field: ImportField, mapping: ColumnMapping) -> str:
    """What a word was told to stand for; raises CellRefused where that makes a reading of none."""
    says_none = word in mapping.blanks or verdict_meant(text) is not None
    if field.form is FieldForm.READING and says_none and any(map(str.isdigit, meant)):
        raise CellRefused(f"{quoted(text)} is no reading", "leave out of the mapping what it stands for")
    return meant


def _did_not_trip(text: str, word: str) -> bool:
    """Tell whether a device for residual currents did not trip; raises CellRefused where it may not have been tested."""
    if word in _NO_TRIP_OR_NO_TEST:
        todo = f"write “{NO_TRIP}” for the first, and leave the cell empty for the second"
        raise CellRefused(f"{quoted(text)} may say that it did not trip, or that it was not tested", todo)
    return word in _NO_TRIPS


_RCD_NAMES: Final = frozenset(str(check) for check in RCD_CHECKS if check in UNIT_OF_CHECK)


def _day(text: str, _: ImportField, column: MappedColumn, mapping: ColumnMapping, exact: bool) -> str:
    del exact  # a day that the file itself holds is written as ISO 8601
    return day_of(text, column.date_order or mapping.date_order).isoformat()


def _figure(text: str, field: ImportField, column: MappedColumn, mapping: ColumnMapping, exact: bool) -> str:
    decimal = _POINT if exact else column.decimal or mapping.decimal
    if field.form is FieldForm.FIGURE and not exact:
        # Whichever mark was named: no lead is a thousand metres long, and one that passed for it would have a lax limit.
        refuse_doubtful_mark(text, decimal, todo="write it with its decimals as in 1.25, or without a mark")
    return figure_of(text, field.unit, column.unit, decimal, whole=field.form is FieldForm.WHOLE)


def _reading(text: str, field: ImportField, column: MappedColumn, mapping: ColumnMapping, exact: bool) -> str:
    if text.upper() in mapping.over_range:
        return OVER
    decimal = _POINT if exact else column.decimal or mapping.decimal
    if not exact and not column.decimal:
        refuse_doubtful_mark(text, decimal)
    return reading_of(text, Unit(field.unit), column.unit, decimal)


def _word(text: str, field: ImportField, column: MappedColumn, mapping: ColumnMapping, exact: bool) -> str:
    del column, mapping, exact
    meant = word_meant(field, text)
    if meant is None:
        raise CellRefused(
            f"{quoted(text)} is not known as {field.words}",
            f"write one of {', '.join(answers_of(field))}, or say in the mapping what it stands for",
        )
    return meant


_READERS: Final[Mapping[FieldForm, Callable[[str, ImportField, MappedColumn, ColumnMapping, bool], str]]] = {
    FieldForm.DAY: _day,
    FieldForm.FIGURE: _figure,
    FieldForm.WHOLE: _figure,
    FieldForm.READING: _reading,
    FieldForm.CHOICE: _word,
    FieldForm.FLAG: _word,
    FieldForm.VERDICT: _word,
}
