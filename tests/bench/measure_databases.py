"""What a person waits for at 100 000 items, on a server beside the file; run as `python -m tests.bench.measure_databases`."""

import tempfile
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import Final

from msgspec.structs import replace

from appreg.core.records.kept_records import Appliance
from appreg.core.records.list_queries import only_words
from appreg.register.copies.carrying import carry
from appreg.register.lists.appliance_lists import appliance_by_tag, appliances_of, site_keys
from appreg.register.lists.due_lists import count_dates, due_seats, first_due_rows
from appreg.register.lists.inspection_lists import effective_inspections
from appreg.register.lists.row_windows import ordered_rowids, rows_by_rowid
from appreg.register.lists.search import search
from appreg.register.opening.register_file import Register, open_register
from tests.bench.bench_registers import TODAY, bench_folder, register_of
from tests.bench.bench_report import report
from tests.postgres_server import PostgresServer, why_no_server

ROUNDS: Final = 25
LIMIT: Final = 50.0
"""Milliseconds that no query of a screen may take on a server, half of the times it is asked."""
LEAST: Final = 0.25
"""Milliseconds that an answer of the file counts as at least: what takes less is set beside the way to the server alone."""
_SOON: Final = TODAY + timedelta(days=30)


def _queries(register: Register) -> dict[str, Callable[[], object]]:
    seats = ordered_rowids(register, limit=64)
    site = site_keys(register)[7].uid
    item = appliances_of(register, site=site)[3]
    return {
        "first seats of the list": lambda: ordered_rowids(register, limit=64),
        "64 rows of the list": lambda: rows_by_rowid(register, seats),
        "items of a site": lambda: appliances_of(register, site=site),
        "an item by its tag": lambda: appliance_by_tag(register, item.tag),
        "words, 200 found": lambda: search(register, only_words("kettle 7")),
        "half a word, 200 found": lambda: search(register, only_words("ket")),
        "dates overdue and soon": lambda: count_dates(register, today=TODAY, until=_SOON, site=site),
        "first 64 dates": lambda: first_due_rows(register, until=_SOON, limit=64),
        "dates of a site": lambda: due_seats(register, until=_SOON, site=site),
        "inspections of an item": lambda: effective_inspections(register, item.uid),
        "one saved change": lambda: _save(register, item),
    }


def _save(register: Register, item: Appliance) -> None:
    now = register.get(Appliance, item.uid)
    with register.change("bench") as change:
        change.put(replace(now, notes="a" if now.notes != "a" else "b"))


def _milliseconds(work: Callable[[], object]) -> float:
    begun = perf_counter()
    work()
    return 1000 * (perf_counter() - begun)


def main() -> None:
    """Print the ratios, both databases asked in turn."""
    if reason := why_no_server():
        print(f"  left out, as {reason}")
        return
    server = PostgresServer()
    try:
        with (
            tempfile.TemporaryDirectory() as folder,
            open_register(register_of(100_000, bench_folder())) as original,
        ):
            begun = perf_counter()
            carry(original, Path(folder, "copy.sqlite"))
            to_file = perf_counter() - begun
            place = server.new_place(Path(folder, "server"))
            begun = perf_counter()
            carry(original, place)
            report(
                "a register carried onto a server, beside a file",
                (perf_counter() - begun) / to_file,
                4.0,
                f"{to_file:.1f} s",
            )
            with open_register(Path(folder, "copy.sqlite")) as file, open_register(place) as there:
                _compare(file, there)
    finally:
        server.remove()


def _compare(file: Register, there: Register) -> None:
    here, far = _queries(file), _queries(there)
    way = min(_milliseconds(lambda: there.rows("SELECT 1")) for _ in range(ROUNDS))
    print(f"  of {ROUNDS} answers the quickest, file and server, and within how long half of them came")
    print(f"  one of the file counts as {LEAST} ms at least; the way to the server and back takes {way:.2f} ms")
    for name, work in here.items():
        pairs = [(_milliseconds(work), _milliseconds(far[name])) for _ in range(ROUNDS)]
        # Whatever else the machine does only adds to it, and more to what two programs take turns at.
        own, other = (min(pair[place] for pair in pairs) for place in (0, 1))
        own_half, other_half = (median(pair[place] for pair in pairs) for place in (0, 1))
        told = f"{own:.2f} ms, {other:.2f} ms; half within {own_half:.2f} ms, {other_half:.2f} ms"
        report(f"{name}, beside the file", other / max(own, LEAST), 4.0, told)
        if other_half > LIMIT:
            report(f"{name}, ms", other_half, LIMIT, told)


if __name__ == "__main__":
    main()
