"""The register of a site on paper beside reportlab's LongTable: a line an item, every reading, and how memory grows."""

import resource
import sys
import time
from collections.abc import Callable, Sequence
from datetime import date, timedelta
from io import BytesIO
from multiprocessing import get_context
from typing import Any

from msgspec.structs import replace
from pypdf import PdfReader

from appreg.core.records.kept_records import AssetTag
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.told_tables import Cell, CellKind, Row, TableColumn, ToldTable, file_rows, one_group
from appreg.paper.documents.item_lines import InspectedItem, LastTime
from appreg.paper.documents.list_content import ListDocument
from appreg.paper.documents.list_document import drawn_list
from appreg.paper.documents.register_content import RegisterDocument
from appreg.paper.documents.register_document import drawn_register
from appreg.paper.documents.register_lines import LINE_COLUMNS, every_item
from appreg.paper.page.table_drawing import LINES
from tests.bench.bench_report import report
from tests.paper.paper_samples import DRILL, KETTLE, REGISTER, TOASTER, TODAY

ITEMS = 10_000
SLICE = 1_000
"""Rows of one LongTable where there are many: it lays one table out in a time that grows faster than its rows."""
ROUNDS = 3


def _seconds(work: Callable[[], object]) -> float:
    start = time.process_time()
    work()
    return time.process_time() - start


def register_of(count: int, *, details: bool) -> RegisterDocument:
    """A site of so many items over forty rooms, one in forty failed."""
    assert KETTLE.inspection is not None
    last = LastTime(inspection=KETTLE.inspection, person="AB")
    tested = replace(KETTLE, last_test=last, last_look=last)
    few = (TOASTER, DRILL, *[tested] * 38)
    items = tuple(_placed(few[n % 40], n) for n in range(count))
    return replace(REGISTER, items=items, details=details)


def _placed(item: InspectedItem, number: int) -> InspectedItem:
    day = TODAY + timedelta(days=number % 700)
    tag = AssetTag(f"HR-{number:06}")
    return replace(item, location=f"Room {number // 400}", appliance=replace(item.appliance, tag=tag, next_visual=day))


def _cell(cell: Cell) -> str:
    return "" if cell is None else date_words(cell) if isinstance(cell, date) else str(cell)


def long_table(heads: Sequence[str], rows: Sequence[Row], widths: Sequence[float], *, slices: int) -> bytes:
    """The same rows by LongTable with the same typeface, heads repeated, ruled, pages numbered."""
    from importlib.resources import files  # noqa: PLC0415 - of the reference alone

    from reportlab.lib.pagesizes import A4, landscape  # noqa: PLC0415
    from reportlab.lib.units import mm  # noqa: PLC0415
    from reportlab.pdfbase import pdfmetrics  # noqa: PLC0415
    from reportlab.pdfbase.ttfonts import TTFont  # noqa: PLC0415
    from reportlab.platypus import LongTable, SimpleDocTemplate, TableStyle  # noqa: PLC0415

    pdfmetrics.registerFont(TTFont("face", str(files("font_roboto") / "files" / "Roboto-Regular.ttf")))
    look = TableStyle(
        [
            ("FONT", (0, 0), (-1, -1), "face", 7.5),
            ("LINEBELOW", (0, 0), (-1, -1), 0.3, "grey"),
            ("TOPPADDING", (0, 0), (-1, -1), 0.5),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 1),
        ]
    )
    cells = [[_cell(cell) for cell in row] for row in rows]
    tables = [
        LongTable([list(heads), *cells[start : start + slices]], colWidths=[w * mm for w in widths], repeatRows=1)
        for start in range(0, len(cells), slices)
    ]
    for table in tables:
        table.setStyle(look)
    out = BytesIO()

    def number(canvas: Any, page: Any) -> None:
        canvas.setFont("face", 7)
        canvas.drawString(20, 20, f"page {page.page}")

    SimpleDocTemplate(out, pagesize=landscape(A4)).build(tables, onFirstPage=number, onLaterPages=number)
    return out.getvalue()


def _quickest(work: Callable[[], object]) -> float:
    return min(_seconds(work) for _ in range(ROUNDS))


def measure_lines() -> bool:
    """A line an item."""
    document = register_of(ITEMS, details=False)
    rows = list(file_rows(every_item(document)))
    heads = ["room", *(column.head for column in LINE_COLUMNS)]
    widths = [15.0, *(column.weight * 0.95 for column in LINE_COLUMNS)]
    ours = _quickest(lambda: drawn_register(document))
    theirs = _seconds(lambda: long_table(heads, rows, widths, slices=ITEMS))
    return report(f"register of {ITEMS} items, a line each / LongTable", ours / theirs, 0.25, f"{ours:.2f} s")


def measure_readings() -> bool:
    """Every reading: a row of LongTable for each check, without arithmetic, interval or advice."""
    document = register_of(ITEMS, details=True)
    lines = {str(row[1]): row for row in file_rows(every_item(document))}
    rows: list[Row] = []
    for item in document.items:
        line = lines[item.appliance.tag]
        rows += [
            (*line, each.check_name, each.reading, str(each.limit_high or each.limit_low or ""), each.finding)
            for each in item.findings
        ] or [(*line, "", "", "", "")]
    heads = ["room", *(column.head for column in LINE_COLUMNS), "check", "reading", "limit", "finding"]
    widths = [12.0, *(column.weight * 0.7 for column in LINE_COLUMNS), 20.0, 12.0, 12.0, 12.0]
    ours = _seconds(lambda: drawn_register(document))
    theirs = _seconds(lambda: long_table(heads, rows, widths, slices=len(rows)))
    return report(f"register of {ITEMS} items, every reading / LongTable", ours / theirs, 0.25, f"{ours:.2f} s")


class _Rows(Sequence[Row]):
    """Rows that are made when they are asked for, so that memory tells of the drawing alone."""

    def __init__(self, count: int) -> None:
        self._count = count

    def __len__(self) -> int:
        return self._count

    def __getitem__(self, n: Any) -> Any:
        if not 0 <= n < self._count:
            raise IndexError(n)
        day = TODAY + timedelta(n % 900)
        return (f"HR-{n:06}", f"Kettle {n}", f"Room {n % 90}", "Class I", "portable", TODAY, day, n % 7)


def wide_list(count: int) -> ListDocument:
    """Eight columns of so many rows, one of them summed."""
    columns = (
        TableColumn(name="tag", head="tag", kind=CellKind.TAG, weight=2),
        *(TableColumn(name=f"t{n}", head=f"text {n}", weight=3) for n in range(4)),
        TableColumn(name="on", head="on", kind=CellKind.DATE, weight=2),
        TableColumn(name="due", head="due", kind=CellKind.DATE, weight=2),
        TableColumn(name="n", head="minutes", kind=CellKind.NUMBER, weight=1, summed=True),
    )
    table = ToldTable(title="Rows", columns=columns, groups=one_group(_Rows(count)))
    return ListDocument(kind="List", title="Rows", tables=(table,), printed=TODAY, density=LINES, across=True)


def measure_slices() -> bool:
    """A hundred thousand rows, LongTable's in slices."""
    document = wide_list(100_000)
    table = document.tables[0]
    heads, widths = [column.head for column in table.columns], [column.weight * 14.0 for column in table.columns]
    ours = _seconds(lambda: drawn_list(document))
    theirs = _seconds(lambda: long_table(heads, list(file_rows(table)), widths, slices=SLICE))
    return report("list of 100 000 rows / LongTable in slices", ours / theirs, 0.5, f"{ours:.1f} s")


def measure_rightness() -> bool:
    """Of 5 000 rows each stands once, heads and numbers on each page, and the sum is right, by another's extraction."""
    document = wide_list(5_000)
    pages = [page.extract_text() for page in PdfReader(BytesIO(drawn_list(document).content)).pages]
    text = "\n".join(pages)
    right = (
        all(text.count(f"HR-{n:06}") == 1 for n in range(5_000))
        and all("minutes" in page for page in pages if "HR-" in page)
        and all(f"page {n} of {len(pages)}" in page for n, page in enumerate(pages, 1))
        and f"total {sum(n % 7 for n in range(5_000))}" in " ".join(text.split())
    )
    print(f"5 000 rows on {len(pages)} pages: {'all there, heads, numbers and sum right' if right else 'WRONG'}")
    return right


def _most_memory(count: int) -> int:
    drawn_list(wide_list(count))
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss


def measure_memory() -> bool:
    """What a hundred thousand rows take beside a thousand, each in a process of its own."""
    sizes = []
    for count in (1_000, 100_000):
        with get_context("spawn").Pool(1) as pool:
            sizes.append(pool.apply(_most_memory, (count,)))
    few, many = sizes
    return report("memory of 100 000 rows / of 1 000", many / few, 2.2, f"{many // 1024} MB")


if __name__ == "__main__":
    held = [measure_rightness(), measure_lines(), measure_readings(), measure_slices(), measure_memory()]
    sys.exit(0 if all(held) else 1)
