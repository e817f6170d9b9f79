"""Workbooks, read back with openpyxl, which did not write them."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime
from decimal import Decimal as D
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.utils.escape import unescape

from appreg.core.values.text import shown
from appreg.core.values.told_tables import CellKind, Row, TableColumn, TableGroup, ToldTable
from appreg.errors import InputRefused
from appreg.exchange import list_workbook
from appreg.exchange.list_workbook import BookSheet, fill_workbook, table_sheet, typed_day
from tests.hostile_names import HOSTILE_NAMES

HEADS = ("tag", "item", "items", "share", "next_test")
ROWS: tuple[Row, ...] = (
    ("HR-001", "=1+1", 3, D("0.1208"), date(2027, 11, 24)),
    ("HR-002", "https://quay.example", 0, None, date(1899, 12, 31)),
    ("007", "@SUM(A1)", -2, D(5), None),
)


def filled(file: Path, title: str, heads: Sequence[str], rows: Iterable[Row]) -> int:
    return fill_workbook(file, title, [BookSheet(name=title, heads=heads, rows=rows)])


def _sheet(file: Path) -> Any:
    return openpyxl.load_workbook(file).active


def test_a_cell_is_what_it_is_and_text_is_neither_formula_nor_link(tmp_path: Path) -> None:
    assert filled(tmp_path / "list.xlsx", "Items", HEADS, ROWS) == 3
    sheet = _sheet(tmp_path / "list.xlsx")
    assert [[cell.value for cell in row] for row in sheet.iter_rows()] == [
        list(HEADS),
        ["HR-001", "=1+1", 3, 0.1208, datetime(2027, 11, 24)],  # noqa: DTZ001 - openpyxl gives days so
        ["HR-002", "https://quay.example", 0, None, "1899-12-31"],
        ["007", "@SUM(A1)", -2, 5, None],
    ]
    kinds = "".join(cell.data_type for cell in sheet[2])
    assert kinds.replace("i", "s") == "ssnnd", "text, text, numbers, a day"
    assert sheet["E2"].number_format == "yyyy-mm-dd"
    assert all(cell.hyperlink is None for row in sheet.iter_rows() for cell in row)


def test_its_heads_stay_in_sight_and_every_column_can_be_filtered(tmp_path: Path) -> None:
    filled(tmp_path / "list.xlsx", "Due: [all] / 2026", HEADS, ROWS)
    sheet = _sheet(tmp_path / "list.xlsx")
    assert (sheet.freeze_panes, sheet.auto_filter.ref) == ("A2", "A1:E4")
    assert sheet.title == "Due   all    2026"
    assert all(cell.font.b for cell in sheet[1])


def test_a_list_of_nothing_has_its_heads(tmp_path: Path) -> None:
    assert filled(tmp_path / "list.xlsx", "", HEADS, ()) == 0
    assert [cell.value for cell in _sheet(tmp_path / "list.xlsx")[1]] == list(HEADS)


def test_every_name_comes_back_as_it_is_shown(tmp_path: Path) -> None:
    names = [*HOSTILE_NAMES, "_x0041_", "\ud800", "<&>\"'"]
    filled(tmp_path / "list.xlsx", "\x1b[2J" + "W" * 300, ("item",), ((name,) for name in names))
    # As ECMA-376 has strings (ST_Xstring), which openpyxl leaves to who reads them.
    read = [unescape(row[0].value or "") for row in _sheet(tmp_path / "list.xlsx").iter_rows(min_row=2)]
    assert read == [shown(name) for name in names]


def test_more_rows_than_a_sheet_holds_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(list_workbook, "MOST_ROWS", 250)
    with pytest.raises(InputRefused, match="CSV instead"):
        filled(tmp_path / "list.xlsx", "Items", ("tag",), ((str(n),) for n in range(251)))


def test_a_writing_that_breaks_off_leaves_nothing_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))

    def broken() -> Iterator[tuple[str]]:
        yield from (("HR-001",),) * 300
        raise KeyError

    with pytest.raises(KeyError):
        filled(tmp_path / "list.xlsx", "Items", ("tag",), broken())
    assert list(tmp_path.iterdir()) == []


def test_only_iso_days_become_days() -> None:
    assert typed_day("2026-11-24") == date(2026, 11, 24)
    assert [typed_day(each) for each in ("", "damaged", None, 7)] == ["", "damaged", None, 7]


def test_each_table_of_a_document_is_a_sheet_of_its_own_with_the_head_of_each_group(tmp_path: Path) -> None:
    columns = (TableColumn(name="tag", head="tag"), TableColumn(name="minutes", head="min", kind=CellKind.NUMBER))
    groups = (TableGroup(head="Hall", rows=[("HR-001", 5)]), TableGroup(head="Attic", rows=[("HR-002", D("2.5"))]))
    grouped = ToldTable(
        title="Rooms", columns=columns, groups=groups, grouped_by=TableColumn(name="location", head="location")
    )
    plain = ToldTable(title="rooms", columns=columns, groups=(TableGroup(rows=[("HR-003", 1)]),))
    assert fill_workbook(tmp_path / "list.xlsx", "Both", [table_sheet(grouped), table_sheet(plain)]) == 3
    book = openpyxl.load_workbook(tmp_path / "list.xlsx")
    assert book.sheetnames == ["Rooms", "rooms 2"]
    assert [*book["Rooms"].values] == [("location", "tag", "minutes"), ("Hall", "HR-001", 5), ("Attic", "HR-002", 2.5)]
    assert [*book["rooms 2"].values] == [("tag", "minutes"), ("HR-003", 1)]
