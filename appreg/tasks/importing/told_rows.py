"""What a row of a table comes to, in words and under the heads of its own columns."""

from collections.abc import Callable, Iterator

from appreg.exchange.column_mapping import ColumnMapping
from appreg.tasks.importing.row_plans import FieldChange, PlannedRow, RowOutcome, RowProblem

Words = Callable[[str, object], str]
"""The value of a field as people know it."""


def told_row(mapping: ColumnMapping, row: RowOutcome, words: Words) -> PlannedRow:
    """The row as people read it."""
    return PlannedRow(
        line=row.line,
        state=row.state,
        called=row.called,
        changes=tuple(_changes(mapping, row, words)),
        problems=told_problems(mapping, row),
        disagreements=row.disagreements,
    )


def told_problems(mapping: ColumnMapping, row: RowOutcome) -> tuple[RowProblem, ...]:
    """Its problems, each under the head of its column."""
    return tuple(RowProblem(_head(mapping, each.column), each.what, each.todo) for each in row.problems)


def _head(mapping: ColumnMapping, name: str) -> str:
    """The head over a field, or what people call the field; whatever is neither stays as it is."""
    column = mapping.column_of(name)
    if column is not None and column.head:
        return column.head
    return mapping.fields[name].words if name in mapping.fields else name


def _changes(mapping: ColumnMapping, row: RowOutcome, words: Words) -> Iterator[FieldChange]:
    if row.leaves is not None and row.before is not None:
        yield FieldChange(_named(mapping, "state"), words("state", getattr(row.before, "state", "")), row.leaves.value)
    if row.after is None:
        return
    own = row.after.__struct_fields__
    for name in dict.fromkeys(each for each in row.given if each in own):
        before = getattr(row.before, name) if row.before is not None else None
        after = getattr(row.after, name)
        if after != before:
            yield FieldChange(_named(mapping, name), "" if before is None else words(name, before), words(name, after))


def _named(mapping: ColumnMapping, name: str) -> str:
    return mapping.fields[name].words if name in mapping.fields else name.replace("_", " ")
