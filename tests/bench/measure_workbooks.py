"""Workbooks beside XlsxWriter alone writing the same cells, and what memory ten times as many rows take."""

import sys
import tempfile
import time
import tracemalloc
from collections.abc import Callable, Iterator, Sequence
from datetime import date, timedelta
from functools import partial
from pathlib import Path

import xlsxwriter

from appreg.exchange.list_workbook import BookSheet, fill_workbook
from tests.bench.bench_report import report

COUNT = 20_000
ROUNDS = 5
HEADS = ("tag", "item", "site", "location", "state", "outcome", "next_test", "days")
Row = tuple[str, str, str, str, str, str, date, int]


def _rows(count: int) -> Iterator[Row]:
    for number in range(count):
        room = f"Flat {number % 40}, kitchen"
        day = date(2027, 1, 1) + timedelta(number % 900)
        yield (f"HR-{number:05}", f"kettle {number}", "Harbour Row 14", room, "in service", "pass", day, number % 77)


def _ours(file: Path, rows: Iterator[Row] | Sequence[Row]) -> None:
    fill_workbook(file, "Items", [BookSheet(name="Items", heads=HEADS, rows=rows)])


def _alone(file: Path, rows: Sequence[Row]) -> None:
    book = xlsxwriter.Workbook(str(file), {"constant_memory": True, "default_date_format": "yyyy-mm-dd"})
    sheet = book.add_worksheet()
    for place, head in enumerate(HEADS):
        sheet.write_string(0, place, head)
    for number, row in enumerate(rows, 1):
        for place in range(6):
            sheet.write_string(number, place, row[place])
        sheet.write_datetime(number, 6, row[6])
        sheet.write_number(number, 7, row[7])
    book.close()


def _seconds(work: Callable[[], object]) -> float:
    start = time.process_time()
    work()
    return time.process_time() - start


def _peak(work: Callable[[], object]) -> int:
    tracemalloc.start()
    work()
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    return peak


def main() -> int:
    """Print both; exit code 1 where a target is missed."""
    rows = list(_rows(COUNT))
    with tempfile.TemporaryDirectory() as name:
        file = Path(name) / "list.xlsx"
        pairs = [(_seconds(lambda: _ours(file, rows)), _seconds(lambda: _alone(file, rows))) for _ in range(ROUNDS)]
        ours, alone = (min(times) for times in zip(*pairs, strict=True))
        small, large = (_peak(partial(_ours, file, _rows(count))) for count in (COUNT // 10, COUNT))
    quick = report(f"{COUNT} rows as a workbook : XlsxWriter alone", ours / alone, 1.1, f"{ours:.2f} s")
    flat = report(f"memory for {COUNT} rows : for a tenth of them", large / small, 1.2, f"{large // 1024} KiB")
    return 0 if quick and flat else 1


if __name__ == "__main__":
    sys.exit(main())
