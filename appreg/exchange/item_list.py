"""The list of items that can be imported again: a column for each field that a list of items may fill."""

import csv
from collections.abc import Callable, Iterable, Iterator, Sequence
from decimal import Decimal
from itertools import islice
from pathlib import Path
from typing import Final

from appreg.core.values.text import FORMULA_STARTS, guarded_cell
from appreg.exchange.import_fields import FieldForm, ImportField, ImportKind, import_fields
from appreg.exchange.list_workbook import BookSheet, fill_workbook

_AT_ONCE: Final = 2000
_MARKS: Final = frozenset((*FORMULA_STARTS, "'"))
Row = Sequence[str | int]
Told = Callable[[int], None]
"""Hears how many rows are written."""


def item_list_fields() -> tuple[ImportField, ...]:
    """The fields that are told, in the order of the columns."""
    return import_fields(ImportKind.ITEMS)


def item_list_heads() -> list[str]:
    """The heads of the columns, with the units of figures."""
    return [f"{each.words} ({each.unit})" if each.unit else each.words for each in item_list_fields()]


def is_own_head(line: str) -> bool:
    """Tell whether the first line of a text is that of such a list: how its cells are told apart is known then."""
    return line == ",".join(item_list_heads())


def write_item_csv(draft: Path, rows: Iterable[Row], told: Told) -> int:
    """Write RFC 4180 in UTF-8, texts guarded against spreadsheets that would run them; how many rows there are."""
    texts = [at for at, each in enumerate(item_list_fields()) if each.form is FieldForm.TEXT]
    with draft.open("w", encoding="utf-8", newline="", buffering=1 << 20) as file:
        writer = csv.writer(file, lineterminator="\r\n")
        writer.writerow(item_list_heads())
        count, left = 0, iter(rows)
        while part := list(islice(left, _AT_ONCE)):
            writer.writerows(_guarded(part, texts))
            count += len(part)
            told(count)
    return count


def _guarded(rows: list[Row], texts: Sequence[int]) -> list[Row]:
    """Hardly a list has a text to be guarded: only the columns that have one are looked at cell by cell."""
    doubtful = [at for at in texts if not _MARKS.isdisjoint({str(row[at])[:1] for row in rows})]
    if not doubtful:
        return rows
    return [_with_guards(row, doubtful) for row in rows]


def _with_guards(row: Row, places: Sequence[int]) -> Row:
    cells = list(row)
    for at in places:
        cells[at] = guarded_cell(str(cells[at]))
    return cells


def write_item_workbook(draft: Path, title: str, rows: Iterable[Row], told: Told) -> int:
    """Write a workbook whose figures are figures; its texts are never run. Raises InputRefused where it has no room."""
    figures = [each.form in {FieldForm.FIGURE, FieldForm.WHOLE} for each in item_list_fields()]
    sheet = BookSheet(name=title, heads=item_list_heads(), rows=_typed(rows, figures, told))
    return fill_workbook(draft, title, [sheet])


def _typed(rows: Iterable[Row], figures: Sequence[bool], told: Told) -> Iterator[list[str | int | Decimal | None]]:
    for number, row in enumerate(rows):
        if number % _AT_ONCE == 0:
            told(number)
        yield [(Decimal(cell) if cell else None) if figure else cell for cell, figure in zip(row, figures, strict=True)]
