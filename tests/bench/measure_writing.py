"""Writing against SQLite's own speed: bulk loading beside executemany, one durable save beside a bare transaction."""

import statistics
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path

from msgspec.structs import replace

from appreg.core.records.kept_records import Appliance, Client, Location, Site
from appreg.core.values.asset_tags import tag_order
from appreg.register.checking.checking import problems
from appreg.register.engine.dialect import inserted
from appreg.register.journal.journal_chain import INSERT
from appreg.register.opening.register_file import Register, open_register
from appreg.register.schema.record_kinds import kind_of
from tests.bench.bench_report import report
from tests.register.sample_register import item, small_estate

COUNT = 20_000
SAVES = 300


def _seconds(work: Callable[[], object]) -> float:
    """Time of this process alone: what else the machine does is none of it."""
    start = time.process_time()
    work()
    return time.process_time() - start


def _estate(folder: Path, name: str) -> tuple[Register, list[Appliance]]:
    register = open_register(folder / name)
    (site,) = small_estate(register)
    plain = item(register, site, "S0-0")
    items = [
        replace(plain, uid=register.new_uid(), tag=type(plain.tag)(f"S0-{number:06}"), name=f"Kettle {number % 90}")
        for number in range(COUNT)
    ]
    return register, items


def _bulk(register: Register, items: list[Appliance]) -> None:
    with register.change("bench") as change:
        change.put_many(items)


def _bare(register: Register, rows: Sequence[tuple[object, ...]], lines: Sequence[tuple[object, ...]]) -> None:
    connection = register.connection
    connection.execute("BEGIN IMMEDIATE")
    connection.execute("DROP TRIGGER appliance_text_insert")
    connection.executemany(inserted("appliance", (*kind_of(Appliance).codec.names, "tag_key")), rows)
    connection.execute("INSERT INTO appliance_text (appliance_text) VALUES ('rebuild')")
    connection.executemany(INSERT, lines)
    connection.execute("COMMIT")


def measure_bulk(folder: Path) -> None:
    """Compare put_many with executemany of the same rows and lines, the search index filled once at the end."""
    register, items = _estate(folder, "bulk.appreg")
    own = _seconds(lambda: _bulk(register, items))
    again = _seconds(lambda: _bulk(register, [replace(one, name="Torch") for one in items]))
    checked = _seconds(lambda: list(problems(register)))
    kind = kind_of(Appliance)
    rows = [(*kind.codec.encode(one), tag_order(one.tag)) for one in items]
    lines = register.rows("SELECT * FROM journal WHERE entity = 'appliance' AND \"before\" IS NULL")
    register.close()
    bare_register, _ = _estate(folder, "bare.appreg")
    (site,), (location,) = bare_register.find(Site), bare_register.find(Location)
    moved = [(row[0], site.uid, location.uid, *row[3:]) for row in rows]
    bare = _seconds(lambda: _bare(bare_register, moved, [("other", *line[1:]) for line in lines]))
    bare_register.close()
    report(f"put_many of {COUNT} items, beside executemany", own / bare, 2.0, f"{own:.2f} s, {bare:.2f} s")
    report(f"put_many over {COUNT} known items, beside the same", again / bare, 3.0, f"{again:.2f} s")
    report(f"verify of {COUNT} items, beside the same", checked / bare, 3.0, f"{checked:.2f} s")


def measure_save(folder: Path) -> None:
    """Compare one saved change of one record with a bare durable transaction that writes as much."""
    with open_register(folder / "save.appreg") as register:
        client = Client(uid=register.new_uid(), name="Owner")

        def save(number: int) -> None:
            with register.change("bench") as change:
                change.put(replace(client, name=f"Owner {number}"))

        own = statistics.median(_seconds(lambda number=number: save(number)) for number in range(SAVES))  # type: ignore[misc]
        connection = register.connection
        connection.execute("CREATE TABLE bare (x, y)")

        def bare() -> None:
            connection.execute("BEGIN IMMEDIATE")
            connection.execute("INSERT INTO bare VALUES (1, ?)", ("x" * 600,))
            connection.execute("UPDATE client SET notes = 'x'")
            connection.execute("COMMIT")

        plain = statistics.median(_seconds(bare) for _ in range(SAVES))
    report("one saved record, beside a bare transaction", own / plain, 8.0, f"{own * 1e3:.2f} ms, {plain * 1e3:.2f} ms")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as temporary:
        measure_bulk(Path(temporary))
        measure_save(Path(temporary))
