"""The list of 100 000 items as CSV beside the csv module alone on the same rows of a raw cursor; and the whole register as lines."""

import csv
import sqlite3
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Final

from appreg.exchange.item_list import item_list_fields, item_list_heads
from appreg.register.lists import item_cells
from appreg.register.opening.register_file import open_register
from appreg.tasks.items.export_items import export_items
from appreg.tasks.keeping.export_lines import export_lines
from appreg.tasks.keeping.import_lines import import_lines
from tests.bench.bench_registers import bench_folder, register_of
from tests.bench.bench_report import report

COUNT: Final = 100_000
ROUNDS: Final = 5
MOST: Final = 1.6
"""What reading, guarding and putting the list in place may take, in times of the csv module alone."""


def _alone(path: Path, statement: str, out: Path) -> None:
    """What nobody could do without: the rows of a cursor, written."""
    with closing(sqlite3.connect(path)) as raw, out.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\r\n")
        writer.writerow(item_list_heads())
        writer.writerows(raw.execute(statement))


def _seconds(work: Callable[[], object]) -> float:
    start = time.process_time()
    work()
    return time.process_time() - start


def _statement(path: Path) -> str:
    """The query that the list is read by."""
    asked: list[str] = []
    with open_register(path) as register:
        stream = register.stream
        register.stream = lambda words, parameters=(): asked.append(words) or stream(words, parameters)  # type: ignore[method-assign,assignment,func-returns-value]
        next(item_cells.item_cells(register, [each.name for each in item_list_fields()]))
    return asked[0]


def main() -> int:
    """Print the ratios; exit code 1 where the target is missed."""
    path = register_of(COUNT, bench_folder())
    statement = _statement(path)
    with tempfile.TemporaryDirectory() as name, open_register(path) as register:
        folder = Path(name)
        pairs = [
            (
                _seconds(lambda: export_items(register, folder / "items.csv", replace=True)),
                _seconds(lambda: _alone(path, statement, folder / "raw.csv")),
            )
            for _ in range(ROUNDS)
        ]
        ours, alone = (min(times) for times in zip(*pairs, strict=True))
        same = (folder / "items.csv").read_bytes() == (folder / "raw.csv").read_bytes()
        out = _seconds(lambda: export_lines(register, folder / "all.jsonl"))
        back = _seconds(lambda: import_lines(folder / "all.jsonl", folder / "back.sqlite"))
        size = (folder / "all.jsonl").stat().st_size // 1_000_000
    quick = report(f"{COUNT} items as CSV : csv on a raw cursor", ours / alone, MOST, f"{ours:.2f} s")
    print(f"the whole register as lines, checked: {out:.1f} s, {size} MB; made again and checked: {back:.1f} s")
    return 0 if quick and same else 1


if __name__ == "__main__":
    sys.exit(main())
