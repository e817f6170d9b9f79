"""What columns of results say of one another: the units of a reading beside it, how leakage was measured, a check that stands twice."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from msgspec.structs import replace

from appreg.core.records.checks import Check
from appreg.exchange.cell_units import fits, unit_named
from appreg.exchange.column_contents import Contents
from appreg.exchange.column_mapping import MappedColumn
from appreg.exchange.head_words import head_of, method_said
from appreg.exchange.import_fields import FieldForm, ImportField

_UNITS_HEADS: Final = frozenset(("unit", "units", "uom", "einheit", "einheiten", "unité", "unités"))


def with_units_beside(
    columns: Sequence[MappedColumn], fields: Mapping[str, ImportField], contents: Mapping[int, Contents]
) -> Iterator[MappedColumn]:
    """The columns, told of each reading whether its units stand in the column right of it; `contents` by position."""
    by_position = {each.position: each for each in columns}
    for column in columns:
        field, right = fields.get(column.field), by_position.get(column.position + 1)
        beside = (
            field is not None
            and field.form is FieldForm.READING
            and right is not None
            and not right.field
            and right.position in contents
            and _holds_units(right, contents[right.position], field)
        )
        yield replace(column, units_beside=beside) if beside != column.units_beside else column


def _holds_units(column: MappedColumn, contents: Contents, field: ImportField) -> bool:
    """Tell whether a column says in which unit another's readings are: by its head, or by every one of its cells."""
    if contents.is_empty:
        return False
    named = not _UNITS_HEADS.isdisjoint(head_of(column.head).words)
    return named or all(fits(unit_named(text), field.unit, reading=True) for text in contents.texts)


def leakage_constants(columns: Sequence[MappedColumn]) -> dict[str, str]:
    """What the head of the leakage says of how it was measured, for every line, where no column says it."""
    leakage = next((each for each in columns if each.field == Check.LEAKAGE), None)
    method = method_said(leakage.head) if leakage is not None else None
    if method is None or any(each.field == "leakage_method" for each in columns):
        return {}
    return {"leakage_method": method.value}
