"""A table as it is told, before anybody draws it or writes it into a file: columns, rows in groups, sums."""

from collections.abc import Iterator, Sequence
from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import Final

from msgspec import Struct

Cell = str | int | Decimal | date | None
"""What stands in a place of a row; None: nothing."""
Row = Sequence[Cell]


class CellKind(StrEnum):
    """What the cells of a column are."""

    TEXT = "text"
    TAG = "tag"
    """By which a row is found: set bold where it is drawn."""
    DATE = "date"
    NUMBER = "number"


class TableColumn(Struct, frozen=True, kw_only=True):
    """One column."""

    name: str
    """In files: lower case, with underscores."""
    head: str
    """Where it is drawn."""
    unit: str = ""
    """Of a number, say min."""
    kind: CellKind = CellKind.TEXT
    weight: float = 1.0
    """Its share of the width, beside those of the others."""
    loud: tuple[str, ...] = ()
    """Texts that must not be overlooked: set bold."""
    summed: bool = False
    """Its numbers make a sum, of each group and of all."""


class TableGroup(Struct, frozen=True, kw_only=True):
    """Rows that belong together, under a head of their own where the table is grouped."""

    head: str = ""
    rows: Sequence[Row]


class ToldTable(Struct, frozen=True, kw_only=True):
    """What a list tells, in an order that holds wherever it is shown."""

    title: str
    columns: tuple[TableColumn, ...]
    groups: tuple[TableGroup, ...]
    grouped_by: TableColumn | None = None
    """What the heads of the groups are; in files a column before the others. None: there is one group, without a head."""
    none: str = "none"
    """What is said where there is no row."""

    @property
    def count(self) -> int:
        """How many rows there are."""
        return sum(len(group.rows) for group in self.groups)


ALL: Final = "all"
"""Before the sums over all groups."""


def one_group(rows: Sequence[Row]) -> tuple[TableGroup, ...]:
    """The groups of a table that is not grouped."""
    return (TableGroup(rows=rows),)


def sums_of(columns: Sequence[TableColumn], rows: Sequence[Row]) -> tuple[Cell, ...]:
    """The sum of each summed column, exact; nothing beneath the others."""
    return tuple(
        sum((_number(row[place]) for row in rows), start=0) if column.summed else None
        for place, column in enumerate(columns)
    )


def sums_of_all(table: ToldTable) -> tuple[Cell, ...]:
    """The sums over all groups."""
    return sums_of(table.columns, [sums_of(table.columns, group.rows) for group in table.groups])


def file_columns(table: ToldTable) -> tuple[TableColumn, ...]:
    """The columns that a file of rows has: the groups' own before the others."""
    return table.columns if table.grouped_by is None else (table.grouped_by, *table.columns)


def file_rows(table: ToldTable) -> Iterator[Row]:
    """Every row as a file has it, its group's head before the other cells; a file gets no sums, its reader makes them."""
    for group in table.groups:
        for row in group.rows:
            yield row if table.grouped_by is None else (group.head, *row)


def _number(cell: Cell) -> int | Decimal:
    return cell if isinstance(cell, int | Decimal) else 0
