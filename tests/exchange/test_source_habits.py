"""Twelve tables of different habits, invented here: each column guessed, each line read, as text and as a workbook."""

import re
import subprocess
import sys
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Final

import pytest
from clevercsv.detect import Detector
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from xlsxwriter import Workbook

from appreg.exchange.cell_days import orders_of
from appreg.exchange.column_mapping import ColumnMapping, DateOrder, Layout
from appreg.exchange.import_fields import ImportKind
from appreg.exchange.mapped_row import MappedRow
from appreg.exchange.mapped_rows import mapped_rows
from appreg.exchange.mapping_guess import guess_mapping
from appreg.exchange.source_file import Source, SourceForm, read_source
from appreg.exchange.source_text import DELIMITERS, find_dialect

SOURCES: Final = Path(__file__).with_name("sources")
MEANT: Final[dict[str, tuple[ImportKind, Layout, str]]] = {
    "01_plain_list.csv": (
        ImportKind.ITEMS, Layout.WIDE, "tag name make model serial location appliance_class fuse_a power_w notes",
    ),
    "02_semicolons_decimal_commas.csv": (
        ImportKind.ITEMS, Layout.WIDE, "tag name make appliance_class cord_length_m cord_csa_mm2 location",
    ),
    "03_windows_1252.csv": (
        ImportKind.ITEMS, Layout.WIDE, "tag name make cord_csa_mm2 cord_length_m power_w location owner_name",
    ),
    "04_utf_16_tabs.txt": (
        ImportKind.RESULTS, Layout.WIDE, "tag date person visual earth-continuity insulation leakage functional outcome",
    ),
    "05_day_first.csv": (
        ImportKind.RESULTS, Layout.WIDE, "tag date person visual earth-continuity insulation outcome next",
    ),
    "06_month_first.csv": (ImportKind.RESULTS, Layout.WIDE, "tag date person earth-continuity insulation outcome"),
    "07_merged_heads.csv": (
        ImportKind.RESULTS, Layout.WIDE, "tag - date person earth-continuity - insulation insulation_volts remarks",
    ),
    "08_a_test_a_line.csv": (ImportKind.RESULTS, Layout.LONG, "tag date person test reading unit verdict"),
    "09_totals_at_the_end.csv": (ImportKind.ITEMS, Layout.WIDE, "tag name - equipment_type serial location notes"),
    "10_empty_columns_and_over_range.csv": (
        ImportKind.RESULTS, Layout.WIDE,
        "- tag - date earth-continuity polarity insulation leakage rcd-1x rcd-5x insulation_volts remarks",
    ),
    "11_sites.csv": (
        ImportKind.SITES, Layout.WIDE, "client name address prefix responsible responsible_contact district",
    ),
    "12_people.tsv": (ImportKind.PEOPLE, Layout.WIDE, "name initials qualifications firm"),
}  # fmt: skip
"""By file: what a person would say of it, and the field of each column in turn."""
READ: Final[dict[str, list[tuple[int, dict[str, str]]]]] = {
    "01_plain_list.csv": [
        (4, {"tag": "ML-003", "name": "Extension lead", "make": "Vostrap", "location": "Store", "appliance_class": "1", "fuse_a": "13",
             "notes": "=1+1"}),
    ],
    "03_windows_1252.csv": [
        (2, {"tag": "P–101", "name": "Café grinder", "make": "Ulmick", "cord_csa_mm2": "0.75", "cord_length_m": "1.50", "power_w": "350",
             "location": "Crème bar", "owner_name": "Zoë Ångström"}),
    ],
    "05_day_first.csv": [
        (2, {"tag": "HR-001", "date": "2025-04-03", "person": "J S", "visual": "ok", "earth-continuity": "0.09", "insulation": "200",
             "outcome": "pass", "next": "2026-04-03"}),
    ],
    "06_month_first.csv": [
        (2, {"tag": "W-1", "date": "2025-04-03", "person": "K. Orr", "earth-continuity": "0.085", "insulation": ">20", "outcome": "pass"}),
    ],
    "07_merged_heads.csv": [
        (7, {"tag": "MR-3", "date": "2025-06-03", "person": "AB", "insulation": "12.4", "insulation_volts": "250"}),
    ],
    "08_a_test_a_line.csv": [
        (2, {"tag": "S-10", "date": "2025-11-24", "person": "Mo", "visual": "ok", "earth-continuity": "0.085", "insulation": ">299",
             "outcome": "pass"}),
        (5, {"tag": "S-11", "date": "2025-11-24", "person": "Mo", "visual": "ok", "insulation": "0.42", "outcome": "fail"}),
        (7, {"tag": "S-12", "date": "2025-11-25", "person": "Mo", "visual": "ok", "leakage": "0.120", "outcome": "pass"}),
    ],
    "10_empty_columns_and_over_range.csv": [
        (3, {"tag": "K1", "date": "2025-01-12", "earth-continuity": "0R08", "polarity": "ok", "insulation": ">99.9", "leakage": "0.25",
             "insulation_volts": "500", "leakage_method": "protective-conductor"}),
        (5, {"tag": "K3", "date": "2025-01-13", "earth-continuity": "0.3", "polarity": "ok", "insulation": ">99.9", "leakage": "<0.1",
             "rcd-1x": "28.4", "rcd-5x": "none", "insulation_volts": "500", "leakage_method": "protective-conductor"}),
    ],
}  # fmt: skip
"""By file: some of its lines as a person would type them."""
ROWS: Final = {
    "01": 4,
    "02": 3,
    "03": 3,
    "04": 3,
    "05": 3,
    "06": 3,
    "07": 3,
    "08": 3,
    "09": 4,
    "10": 3,
    "11": 3,
    "12": 3,
}


def guessed_fields(mapping: ColumnMapping) -> list[str]:
    return [column.field or "-" for column in mapping.columns]


def test_of_all_columns_at_least_nine_of_ten_are_guessed_right() -> None:
    right = every = 0
    for name, (kind, layout, meant) in MEANT.items():
        mapping = guess_mapping(read_source(SOURCES / name))
        assert (mapping.kind, mapping.layout) == (kind, layout), name
        wanted, found = meant.split(), guessed_fields(mapping)
        right += sum(one == other for one, other in zip(wanted, found, strict=False))
        every += max(len(wanted), len(found))
    assert set(MEANT) == {each.name for each in SOURCES.iterdir()}
    assert right >= 0.9 * every, f"{right} of {every}"


def lines_of(source: Source) -> list[MappedRow]:
    return list(mapped_rows(source, guess_mapping(source)))


@pytest.mark.parametrize("name", MEANT)
def test_every_line_is_read_by_its_mapping(name: str) -> None:
    lines = lines_of(read_source(SOURCES / name))
    assert [each for line in lines for each in line.problems] == []
    assert len(lines) == ROWS[name[:2]]
    by_line = {line.line: line.values for line in lines}
    for line, values in READ.get(name, []):
        assert by_line[line] == values


def as_workbook(file: Path, source: Source, mapping: ColumnMapping, *, typed: bool) -> None:
    """The rows of a table as a sheet: every cell a text, or figures and days as what they are."""
    book = Workbook(str(file), {"strings_to_formulas": False, "strings_to_numbers": False, "strings_to_urls": False})
    days = book.add_format({"num_format": "dd/mm/yyyy"})
    sheet = book.add_worksheet("Blatt 1")
    order = next((each.date_order for each in mapping.columns if each.date_order), DateOrder.DAY_FIRST)
    for row in source.rows():
        for at, cell in enumerate(row.cells):
            figure = re.fullmatch(r"[0-9]+([.,][0-9]+)?", cell)
            if typed and figure:
                sheet.write_number(row.line - 1, at, float(cell.replace(",", ".")))
            elif typed and (day := typed_day(cell, order)):
                sheet.write_datetime(row.line - 1, at, day, days)
            elif cell:
                sheet.write_string(row.line - 1, at, cell.removeprefix("'"))
    book.close()


def typed_day(cell: str, order: DateOrder) -> date | None:
    if not re.fullmatch(r"[0-9]{1,4}[-/.][0-9]{1,2}[-/.][0-9]{1,4}", cell) or not orders_of(cell):
        return None
    first, second, third = (int(part) for part in re.split("[-/.]", cell))
    if first > 31:
        return date(first, second, third)
    return date(third, second, first) if order is DateOrder.DAY_FIRST else date(third, first, second)


def figures_alike(values: dict[str, str]) -> Iterator[tuple[str, object]]:
    """4.0 and 4 are one: a workbook has no figures behind the point that say nothing."""
    for name, text in values.items():
        yield name, Decimal(text).normalize() if re.fullmatch(r"[0-9]+(\.[0-9]+)?", text) else text


@pytest.mark.parametrize("name", MEANT)
def test_the_same_content_as_a_workbook_comes_to_the_same_values(name: str, tmp_path: Path) -> None:
    source = read_source(SOURCES / name)
    mapping = guess_mapping(source)
    wanted = [line.values for line in mapped_rows(source, mapping)]
    for typed in (False, True):
        file = tmp_path / f"{typed}.xlsx"
        as_workbook(file, source, mapping, typed=typed)
        book = read_source(file)
        assert (book.form, book.sheets) == (SourceForm.XLSX, ("Blatt 1",))
        guessed = guess_mapping(book)
        assert guessed_fields(guessed) == guessed_fields(mapping), typed
        found = list(mapped_rows(book, guessed))
        assert [each.sentence for line in found for each in line.problems] == []
        assert [dict(figures_alike(line.values)) for line in found] == [dict(figures_alike(each)) for each in wanted]


@pytest.mark.parametrize(
    ("name", "encoding", "delimiter"),
    [
        ("02_semicolons_decimal_commas.csv", "utf-8", ";"),
        ("03_windows_1252.csv", "cp1252", ";"),
        ("04_utf_16_tabs.txt", "utf-16", "\t"),
        ("10_empty_columns_and_over_range.csv", "utf-8", "|"),
    ],
)
def test_encoding_and_delimiter_are_found_and_told(name: str, encoding: str, delimiter: str) -> None:
    source = read_source(SOURCES / name)
    assert (source.encoding, source.delimiter) == (encoding, delimiter)


@given(
    st.lists(st.lists(st.text("aB1 .=-\u03a9", max_size=5), min_size=1, max_size=4), min_size=1, max_size=6),
    st.sampled_from(DELIMITERS),
)
@settings(max_examples=40, deadline=None)
def test_a_text_of_one_delimiter_and_no_quotes_is_read_as_the_detector_would(rows: list[list[str]], mark: str) -> None:
    text = "\n".join(mark.join(row) for row in rows) + "\n"
    assume(text.strip())  # a text of blanks has no row, whatever divides it
    found = Detector().detect(text, delimiters=list(DELIMITERS))
    dialect = find_dialect(text.encode(), "utf-8")
    assert (found.delimiter if found is not None else "") in {"", dialect.delimiter}
    assert (found.quotechar if found is not None else "") in {"", dialect.quote}
    assert dialect.delimiter == mark or mark not in text or not text.strip()


def test_the_detector_is_loaded_only_where_there_is_something_to_detect(tmp_path: Path) -> None:
    plain = tmp_path / "plain.csv"
    plain.write_text("tag,name\nKL-1,Kettle\n", "utf-8")
    asked = "import sys; from pathlib import Path; from appreg.exchange.source_file import read_source; "
    asked += "read_source(Path(sys.argv[1])); print('clevercsv' in sys.modules)"
    files = (plain, SOURCES / "02_semicolons_decimal_commas.csv")
    loaded = [subprocess.check_output([sys.executable, "-c", asked, str(file)], text=True).strip() for file in files]
    assert loaded == ["False", "True"]


def test_a_text_that_is_no_table_is_taken_for_none(tmp_path: Path) -> None:
    page = tmp_path / "page.md"
    page.write_text("Words, item name, others\n\nMore, of it, here\nAnd, some more, words\n", "utf-8")
    source = read_source(page)
    assert any("no table at all" in each.sentence for each in guess_mapping(source).problems)
    assert not guess_mapping(source, ImportKind.ITEMS).problems
