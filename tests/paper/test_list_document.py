"""Lists drawn: heads on each page, every row and the sums, by extraction with a library that did not write them."""

import re
from datetime import date
from decimal import Decimal as D
from pathlib import Path

from msgspec.structs import replace

from appreg.core.values.told_tables import CellKind, Row, TableColumn, TableGroup, ToldTable, one_group
from appreg.paper.documents.list_content import ListDocument
from appreg.paper.documents.list_document import drawn_list
from appreg.paper.page.table_drawing import LINES, WRITING
from tests.hostile_names import HOSTILE_NAMES
from tests.paper.pdf_reading import page_texts, text_boxes, whole_text

DAY = date(2026, 11, 24)
COLUMNS = (
    TableColumn(name="tag", head="tag", kind=CellKind.TAG, weight=2),
    TableColumn(name="item", head="item", weight=4),
    TableColumn(name="due", head="due", kind=CellKind.DATE, weight=2),
    TableColumn(name="minutes", head="time", unit="min", kind=CellKind.NUMBER, weight=2, summed=True),
)


def a_list(table: ToldTable) -> ListDocument:
    return ListDocument(kind="Due list", title="Harbour Row 14", tables=(table,), printed=DAY, density=LINES)


def drawn(document: ListDocument, tmp_path: Path) -> Path:
    out = tmp_path / "list.pdf"
    out.write_bytes(drawn_list(document).content)
    return out


def rows(count: int) -> list[Row]:
    return [(f"HR-{n:04}", f"kettle {n}", DAY, D("0.5")) for n in range(1, count + 1)]


def test_every_row_its_page_heads_and_its_sums_are_there(tmp_path: Path) -> None:
    groups = (TableGroup(head="Hall", rows=rows(90)), TableGroup(head="Attic", rows=rows(3)))
    table = ToldTable(title="Due", columns=COLUMNS, groups=groups, grouped_by=TableColumn(name="room", head="room"))
    pages = page_texts(drawn(a_list(table), tmp_path))
    assert len(pages) > 1
    assert all("time, min" in page for page in pages)
    assert all(f"page {n} of {len(pages)}" in page for n, page in enumerate(pages, 1))
    text = "\n".join(pages)
    assert len(re.findall(r"HR-\d{4}", text)) == 93
    assert text.count("Hall, continued") == len(pages) - 1
    assert re.findall(r"total\s+([\d.]+)", text) == ["45.0", "1.5", "46.5"]


def test_numbers_stand_by_their_decimal_points(tmp_path: Path) -> None:
    table = ToldTable(
        title="Due",
        columns=COLUMNS,
        groups=one_group([("A", "", None, D("7.25")), ("B", "", None, 1200), ("C", "", None, D("0.5"))]),
    )
    words = _numbers(drawn(a_list(replace(table, columns=(*COLUMNS[:3], replace(COLUMNS[3], summed=False)))), tmp_path))
    whole = {text: left + _width(text.partition(".")[0]) for text, left in words.items()}
    assert max(whole.values()) - min(whole.values()) < 0.3, whole


def _numbers(path: Path) -> dict[str, float]:
    found: dict[str, float] = {}
    import pypdfium2  # noqa: PLC0415 - of this test alone

    with pypdfium2.PdfDocument(path) as document:
        page = document[0].get_textpage()
        for index in range(page.count_rects()):
            left, bottom, right, top = page.get_rect(index)
            text = page.get_text_bounded(left, bottom, right, top).strip()
            if text in {"7.25", "1200", "0.5"}:
                found[text] = left * 25.4 / 72
    assert len(found) == 3
    return found


def _width(figures: str) -> float:
    """Of figures at 7.5 pt: all of the face are as wide as one another, 0.5615 of the size."""
    return len(figures) * 0.5615 * 7.5 * 25.4 / 72


def test_a_list_leaves_its_left_edge_to_the_holes_and_has_no_type_below_seven_points(tmp_path: Path) -> None:
    boxes = text_boxes(drawn(a_list(ToldTable(title="Due", columns=COLUMNS, groups=one_group(rows(50)))), tmp_path))
    assert min(left for _, left, *_ in boxes) >= 19.0


def test_what_people_type_is_whole_on_paper_and_no_word_is_cut(tmp_path: Path) -> None:
    long = "quayside " * 30
    told: list[Row] = [("HR-1", name, DAY, 1) for name in (*HOSTILE_NAMES, long)]
    document = a_list(ToldTable(title="Due", columns=COLUMNS, groups=one_group(told)))
    text = whole_text(drawn(replace(document, density=WRITING), tmp_path))
    assert "[red]" in text
    assert "=1+1" in text
    assert text.count("quayside") == 30
    assert drawn_list(document).summary.missing_glyphs


def test_an_empty_list_says_so(tmp_path: Path) -> None:
    table = ToldTable(title="Due", columns=COLUMNS, groups=one_group(()), none="nothing is due")
    assert "Nothing is due." in whole_text(drawn(a_list(table), tmp_path))


def test_the_same_list_gives_the_same_bytes() -> None:
    document = a_list(ToldTable(title="Due", columns=COLUMNS, groups=one_group(rows(5))))
    assert drawn_list(document).content == drawn_list(document).content
