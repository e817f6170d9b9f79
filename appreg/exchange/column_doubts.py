"""How the cells of a column are read, from its head and contents; what these leave in doubt is a problem, never guessed."""

from collections.abc import Collection, Iterable, Iterator
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from appreg.core.values.counted_words import counted
from appreg.exchange.cell_refused import quoted
from appreg.exchange.column_contents import Contents
from appreg.exchange.column_mapping import Asks, DateOrder, Layout, MappedColumn, MappingProblem
from appreg.exchange.head_words import head_of
from appreg.exchange.import_fields import FieldForm, ImportField, ImportKind, by_name

_FIRST: Final = {DateOrder.DAY_FIRST: "day", DateOrder.MONTH_FIRST: "month", DateOrder.YEAR_FIRST: "year"}
_NUMBERS: Final = frozenset({FieldForm.FIGURE, FieldForm.WHOLE, FieldForm.READING})


class ReadColumn(Struct, frozen=True):
    """A column with its unit, mark and order as far as they are told, and what must be said first."""

    column: MappedColumn
    problems: tuple[MappingProblem, ...]


def has_decimals(field: ImportField) -> bool:
    """Tell whether figures stand in a field."""
    return field.form in _NUMBERS or field.name == "reading"


def order_left(days: Iterable[Contents]) -> frozenset[DateOrder]:
    """The one order that some days of a table leave no doubt of; empty where none do, or not the same."""
    found: set[DateOrder] = set()
    for contents in days:
        orders = contents.orders() if contents.unsure_days else frozenset[DateOrder]()
        found |= orders if len(orders) == 1 else set()
    return frozenset(found) if len(found) == 1 else frozenset()


def read_column(
    column: MappedColumn, field: ImportField, contents: Contents, *, decimal: str, orders: frozenset[DateOrder]
) -> ReadColumn:
    """Read the column's head and contents for a field; `decimal` and `orders` are what the rest of the table says."""
    problems: list[MappingProblem] = []
    if has_decimals(field):
        unit, own = _unit(column, field, problems), _decimal(column, contents, decimal, problems)
        column = replace(column, unit=unit, decimal=own)
    if field.form is FieldForm.DAY:
        column = replace(column, date_order=_order(column, contents, orders, problems))
    return ReadColumn(column, tuple(problems))


def lacking(kind: ImportKind, layout: Layout, names: Collection[str]) -> Iterator[MappingProblem]:
    """What no line can do without and nothing fills."""
    for field in by_name(kind, one_test=layout is Layout.LONG).values():
        if field.required and field.name not in names:
            yield MappingProblem(
                column="",
                what=f"no column is the {field.words}",
                todo="say which column it is, or what stands there on every line",
            )
    if kind is ImportKind.RESULTS and not {"tag", "serial"}.intersection(names):
        yield MappingProblem(column="", what="no column says whose result a line is", todo="say which is the tag")


def _problem(column: MappedColumn, asks: Asks, what: str, todo: str) -> MappingProblem:
    return MappingProblem(column=column.head, position=column.position, asks=asks, what=what, todo=todo)


def _unit(column: MappedColumn, field: ImportField, problems: list[MappingProblem]) -> str:
    head = head_of(column.head)
    unit = head.unit
    if head.unclear:
        what, todo = f"says {quoted(head.unclear)}, which may be a unit", "say in which unit its figures are"
        problems.append(_problem(column, Asks.UNIT, what, todo))
        return ""
    if unit == "mΩ" and field.unit == "MΩ":
        what, todo = "says milliohms, which no insulation has", "say in which unit its readings are"
        problems.append(_problem(column, Asks.UNIT, what, todo))
        return ""
    return "" if unit == field.unit else unit


def _decimal(column: MappedColumn, contents: Contents, decimal: str, problems: list[MappingProblem]) -> str:
    """The decimal mark of a column where it is not the table's."""
    sure = contents.decimals & {".", ","}
    if len(sure) > 1:
        what, todo = "has points and commas before decimals", "say which of them marks the decimals"
        problems.append(_problem(column, Asks.DECIMAL, what, todo))
    own = next(iter(sure)) if len(sure) == 1 else ""
    other = "," if (own or decimal) == "." else "."
    if f"?{other}" in contents.decimals:
        what = f"has {'commas' if other == ',' else 'points'} that may stand before decimals or between thousands"
        problems.append(_problem(column, Asks.DECIMAL, what, "say which mark stands before decimals"))
    return own if own != decimal else ""


def _order(
    column: MappedColumn, contents: Contents, orders: frozenset[DateOrder], problems: list[MappingProblem]
) -> DateOrder | None:
    """The order of a column's days: from its own cells, else from the other days of the table; else it is asked."""
    if not contents.unsure_days:
        return None
    own = contents.orders()
    if contents.days_may_be_turned:
        what = (
            "has days up to the 12th as such and later ones as text, as a spreadsheet leaves them that turns days round"
        )
        todo = (
            "have it saved as it was downloaded, or say in which order its texts stand where its other days are right"
        )
        problems.append(_problem(column, Asks.DATE_ORDER, what, todo))
        return None
    if len(own) == 1:
        return next(iter(own))
    if not own:
        what = "has days that can only have the day first and days that can only have the month first"
        problems.append(_problem(column, Asks.DATE_ORDER, what, "write its days as 2026-11-24"))
        return None
    if len(orders) == 1 and orders <= own:
        return next(iter(orders))
    first = " or ".join(word for order, word in _FIRST.items() if order in own)
    what = f"its {counted(len(contents.unsure_days), 'day')} may have {first} first"
    problems.append(_problem(column, Asks.DATE_ORDER, what, "say in which order they stand"))
    return None
