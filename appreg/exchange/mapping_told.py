"""What a person says of a mapping; what that leaves in doubt is asked, as after a guess."""

from collections.abc import Collection, Mapping, Sequence
from itertools import islice
from typing import Final

from msgspec.structs import replace

from appreg.core.records.checks import Check
from appreg.exchange.column_contents import Contents, columns_of
from appreg.exchange.column_doubts import has_decimals, lacking, order_left, read_column
from appreg.exchange.column_mapping import Asks, ColumnMapping, DateOrder, Layout, MappedColumn, MappingProblem
from appreg.exchange.columns_beside import leakage_constants, with_units_beside
from appreg.exchange.import_fields import FieldForm, ImportKind
from appreg.exchange.mapped_rows import heads_of, is_total, place_of
from appreg.exchange.mapping_guess import LOOKED_AT, MOST_COLUMNS
from appreg.exchange.source_file import Source
from appreg.exchange.source_rows import SourceRow
from appreg.exchange.untaken_columns import asked_of_untaken

_UNKNOWN: Final = "the mapping has not said of it"


def first_lines(source: Source, mapping: ColumnMapping, count: int) -> tuple[SourceRow, ...]:
    """The first lines below the heads that are no sums, as they stand in the file."""
    return tuple(islice(_body(source, mapping)[1], count))


def heads_in(source: Source, mapping: ColumnMapping) -> tuple[str, ...]:
    """What stands above each column."""
    return _body(source, mapping)[0]


def with_every_column(source: Source, mapping: ColumnMapping) -> ColumnMapping:
    """The mapping with the columns of this table: those it has not said anything of are not taken, those of another table go."""
    heads = heads_in(source, mapping)[:MOST_COLUMNS]
    width = max((len(row.cells) for row in first_lines(source, mapping, LOOKED_AT)), default=0)
    heads = (*heads, *("",) * min(width, MOST_COLUMNS))[: max(len(heads), min(width, MOST_COLUMNS))]
    there = {head.casefold() for head in heads}
    here = [each for each in mapping.columns if not each.head or each.head.casefold() in there]
    placed = tuple(replace(each, position=place_of(each, heads) + 1) for each in here)
    known = {each.position for each in placed}
    more = (
        MappedColumn(head=head, position=at, reason=_UNKNOWN) for at, head in enumerate(heads, 1) if at not in known
    )
    columns = tuple(sorted([*placed, *more], key=lambda each: each.position))
    asked = asked_of_new(source, mapping) if mapping.name else ()
    return _asking(replace(mapping, columns=columns), [*mapping.problems, *asked])


def asked_of_new(source: Source, mapping: ColumnMapping) -> tuple[MappingProblem, ...]:
    """What must be said of columns of results that a kept mapping has not met: a failure may stand in them."""
    if mapping.kind is not ImportKind.RESULTS:
        return ()
    heads = heads_in(source, mapping)[:MOST_COLUMNS]
    met = {each.head.casefold() for each in mapping.columns if each.head}
    taken = {at: "" for at, head in enumerate(heads) if not head or head.casefold() in met}
    taken |= {place_of(each, heads): each.field for each in mapping.columns}
    if len(taken) >= len(heads):
        return ()
    rows = [(row.cells, row.exact) for row in first_lines(source, mapping, LOOKED_AT)]
    return tuple(asked_of_untaken(heads, columns_of(rows, len(heads)), taken, mapping.fields))


def cells_of(source: Source, mapping: ColumnMapping, position: int) -> Contents:
    """What stands in a column."""
    rows = first_lines(source, mapping, LOOKED_AT)
    return columns_of([(row.cells, row.exact) for row in rows], position)[position - 1]


def with_field(source: Source, mapping: ColumnMapping, position: int, name: str) -> ColumnMapping:
    """A column fills a field, which no other does any more; empty: it is not taken. Its contents tell what is asked."""
    columns, problems = [], [each for each in mapping.problems if each.position != position]
    for column in mapping.columns:
        if column.position == position:
            read, doubts = _told_field(source, mapping, column, name)
            columns.append(read)
            problems += doubts
        elif name and column.field == name:
            columns.append(MappedColumn(head=column.head, position=column.position))
            problems = [each for each in problems if each.position != column.position]
        else:
            columns.append(column)
    said = leakage_constants(columns) if name == Check.LEAKAGE else {}
    constants = {**said, **mapping.constants}
    return _asking(replace(mapping, columns=_with_units(source, mapping, columns), constants=constants), problems)


def with_reading(
    mapping: ColumnMapping,
    position: int,
    *,
    unit: str,
    decimal: str,
    date_order: DateOrder | None,
    values: Mapping[str, str],
    answers: Collection[Asks],
) -> ColumnMapping:
    """The cells of a column are read so; `answers` is what a person has said of them, and what is asked no more."""
    columns = tuple(
        replace(each, unit=unit, decimal=decimal, date_order=date_order, values=dict(values))
        if each.position == position
        else each
        for each in mapping.columns
    )
    left = [each for each in mapping.problems if not (each.position == position and each.asks in answers)]
    return _asking(replace(mapping, columns=columns), left)


def with_constant(mapping: ColumnMapping, name: str, value: str) -> ColumnMapping:
    """The same stands on every line whose own cell is empty; an empty value takes that back."""
    constants = {key: text for key, text in mapping.constants.items() if key != name}
    return _asking(
        replace(mapping, constants={**constants, **({name: value} if value else {})}), list(mapping.problems)
    )


def with_usual(mapping: ColumnMapping, *, date_order: DateOrder | None, decimal: str) -> ColumnMapping:
    """The whole table has this order of days and this mark; columns that say nothing of their own are asked no more."""
    own = {each.position: each for each in mapping.columns}

    def answered(problem: MappingProblem) -> bool:
        column = own.get(problem.position)
        if column is None:
            return False
        if problem.asks is Asks.DATE_ORDER:
            return date_order is not None and column.date_order is None
        return problem.asks is Asks.DECIMAL and decimal != mapping.decimal and not column.decimal

    left = [each for each in mapping.problems if not answered(each)]
    marked = {each.position for each in mapping.problems if each.asks is Asks.DECIMAL and answered(each)}
    columns = tuple(replace(each, decimal=decimal) if each.position in marked else each for each in mapping.columns)
    return _asking(replace(mapping, date_order=date_order, decimal=decimal, columns=columns), left)


def with_answers(mapping: ColumnMapping, *, date_order: DateOrder | None, decimal: str) -> ColumnMapping:
    """The columns of which an order of days or a mark was asked have this one; None and empty answer nothing."""
    answers = {*([Asks.DATE_ORDER] if date_order else []), *([Asks.DECIMAL] if decimal else [])}
    asked = {(each.position, each.asks) for each in mapping.problems if each.asks in answers}
    columns = tuple(
        replace(
            each,
            date_order=date_order if (each.position, Asks.DATE_ORDER) in asked else each.date_order,
            decimal=decimal if (each.position, Asks.DECIMAL) in asked else each.decimal,
        )
        for each in mapping.columns
    )
    left = [each for each in mapping.problems if each.asks not in answers]
    return _asking(replace(mapping, columns=columns), left)


def with_heads(source: Source, mapping: ColumnMapping, *, lines_before: int, head_lines: int) -> ColumnMapping:
    """The heads are on these lines; columns fill what they filled where they stand, and their contents are looked at anew."""
    anew = replace(mapping, lines_before=lines_before, head_lines=head_lines, columns=(), problems=())
    fields = {each.position: each.field for each in mapping.columns}
    anew = with_every_column(source, anew)
    for column in anew.columns:
        if name := fields.get(column.position, ""):
            anew = with_field(source, anew, column.position, name)
    return _asking(anew, list(anew.problems))


def _body(source: Source, mapping: ColumnMapping) -> tuple[tuple[str, ...], "islice[SourceRow] | filter[SourceRow]"]:
    rows = source.rows()
    above = list(islice(rows, mapping.lines_before + mapping.head_lines))[mapping.lines_before :]
    heads = heads_of([row.cells for row in above])
    told = {tuple(row.cells) for row in above}
    taken = sum(1 for each in mapping.columns if each.field)
    return heads, filter(lambda row: row.cells not in told and not is_total(row, mapping.skip, taken), rows)


def _with_units(source: Source, mapping: ColumnMapping, columns: Sequence[MappedColumn]) -> tuple[MappedColumn, ...]:
    if mapping.layout is not Layout.WIDE:
        return tuple(columns)
    rows = [(row.cells, row.exact) for row in first_lines(source, mapping, LOOKED_AT)]
    contents = columns_of(rows, max((each.position for each in columns), default=0))
    return tuple(with_units_beside(columns, mapping.fields, dict(enumerate(contents, 1))))


def _told_field(
    source: Source, mapping: ColumnMapping, column: MappedColumn, name: str
) -> tuple[MappedColumn, tuple[MappingProblem, ...]]:
    plain = MappedColumn(head=column.head, position=column.position, field=name)
    field = mapping.fields.get(name)
    if field is None:
        return plain, ()
    days, decimal = [], mapping.decimal
    if field.form is FieldForm.DAY and mapping.date_order is None:
        others = [each for each in mapping.columns if each.position != column.position and each.field]
        days = [each for each in others if mapping.fields[each.field].form is FieldForm.DAY]
    contents = cells_of(source, mapping, column.position)
    orders = order_left(cells_of(source, mapping, each.position) for each in days)
    if mapping.date_order is not None:
        orders = frozenset({mapping.date_order})
    read = read_column(plain, field, contents, decimal=decimal, orders=orders)
    return (read.column if has_decimals(field) or field.form is FieldForm.DAY else plain), read.problems


def _asking(mapping: ColumnMapping, problems: list[MappingProblem]) -> ColumnMapping:
    """The mapping with the problems of its columns, and what nothing fills now."""
    names = {*mapping.constants, *(each.field for each in mapping.columns if each.field)}
    of_columns = sorted((each for each in problems if each.position), key=lambda each: each.position)
    needed = tuple(lacking(mapping.kind, mapping.layout, names))
    of_all = () if names else tuple(each for each in problems if not each.position and each not in needed)
    return replace(mapping, problems=(*of_columns, *of_all, *needed))
