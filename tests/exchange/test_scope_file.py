"""The file of a scope of work comes back as it went out, whatever its items are called."""

import csv
import io
import json
from pathlib import Path

import openpyxl
import pytest

from appreg.errors import InputRefused
from appreg.exchange.scope_file import read_scope_file, write_scope_file
from tests.hostile_names import HOSTILE_NAMES
from tests.paper.test_scope_document import SITE, scope_of

STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r")


@pytest.mark.parametrize("ending", ["csv", "xlsx", "json"])
def test_every_item_is_known_again_whatever_it_is_called(tmp_path: Path, ending: str) -> None:
    out = tmp_path / f"scope.{ending}"
    scope = scope_of(*HOSTILE_NAMES)
    write_scope_file(scope, out)
    back = read_scope_file(out)
    assert (back.made_on, back.after, back.sites) == (scope.made_on, scope.after, (SITE,))
    assert [(each.key, each.tag, each.work) for each in back.items] == [
        (item.key, item.tag, item.work) for item in scope.items
    ]


def test_no_cell_of_the_table_is_one_that_a_spreadsheet_runs(tmp_path: Path) -> None:

    out = tmp_path / "scope.csv"
    write_scope_file(scope_of(*HOSTILE_NAMES), out)
    rows = csv.reader(io.StringIO(out.read_bytes().decode(), newline=""))
    assert not [cell for row in rows for cell in row if cell.startswith(STARTS_A_FORMULA)]


@pytest.mark.parametrize("lost", ["HR-001", SITE])
def test_a_table_from_which_a_line_is_gone_is_refused(tmp_path: Path, lost: str) -> None:
    out = tmp_path / "scope.csv"
    write_scope_file(scope_of("Kettle", "Toaster", "Lamp"), out)
    lines = out.read_bytes().splitlines(keepends=True)
    gone = f"{1:026d}" if lost == "HR-001" else lost
    out.write_bytes(b"".join(line for line in lines if not line.endswith(f"{gone}\r\n".encode())))
    with pytest.raises(InputRefused, match=r"scope\.csv, line 2, items: 3 items were wanted"):
        read_scope_file(out)


@pytest.mark.parametrize("lost", ["items", "sites"])
def test_json_from_which_an_item_or_a_place_is_gone_is_refused(tmp_path: Path, lost: str) -> None:
    out = tmp_path / "scope.json"
    write_scope_file(scope_of("Kettle", "Toaster", "Lamp"), out)
    told = json.loads(out.read_text(encoding="utf-8"))
    del told[lost][0]
    out.write_text(json.dumps(told), encoding="utf-8")
    with pytest.raises(InputRefused, match=r"it names [23] items, and its places"):
        read_scope_file(out)


def test_columns_and_lines_of_a_contractor_beside_it_are_passed_over(tmp_path: Path) -> None:
    out = tmp_path / "scope.csv"
    write_scope_file(scope_of("Kettle", "Toaster"), out)
    heads, *lines = out.read_bytes().splitlines()
    lines = [heads + b",price", *(line + b",=9+9" for line in lines), b"sum" + b"," * heads.count(b",") + b",18"]
    out.write_bytes(b"\r\n".join(lines))
    assert [each.name for each in read_scope_file(out).items] == ["Kettle", "Toaster"]


def test_a_workbook_that_comes_back_with_prices_and_a_sum_is_read_and_one_that_lost_a_line_is_refused(
    tmp_path: Path,
) -> None:
    out = tmp_path / "scope.xlsx"
    write_scope_file(scope_of("=1+1", "Toaster"), out)
    book = openpyxl.load_workbook(out)
    sheet = book["Scope of work"]
    assert sheet.cell(row=1, column=1).value == "line"
    sheet.cell(row=1, column=sheet.max_column + 1, value="price")
    sheet.cell(row=sheet.max_row + 2, column=sheet.max_column, value=18.5)
    book.move_sheet(book.create_sheet("Prices"), -1)
    book.save(out)
    assert [each.name for each in read_scope_file(out).items] == ["=1+1", "Toaster"]
    sheet.delete_rows(sheet.max_row - 2)
    book.save(out)
    with pytest.raises(InputRefused, match=r"scope\.xlsx, line 2, items: 2 items were wanted"):
        read_scope_file(out)
