"""Asset lists beside the sqlite3 shell's own `.import` and a join into the same tables, and what memory longer lists take."""

import csv
import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Final

from appreg.cli.garbage import search_seldom
from appreg.clock import system_clock
from appreg.core.records.kept_records import Appliance, Client, Site
from appreg.exchange.column_mapping import ColumnMapping, MappedColumn
from appreg.exchange.import_fields import ImportKind
from appreg.exchange.source_file import read_source
from appreg.register.opening.register_file import open_register
from appreg.register.schema.record_kinds import kind_of
from appreg.tasks.desk.keep_settings import Settings
from appreg.tasks.importing.apply_import import apply_order
from appreg.tasks.importing.row_plans import ImportOrder, RowState
from appreg.tasks.records.seed_categories import seed_categories
from tests.bench.bench_registers import MAKES, NAMES, TODAY
from tests.bench.bench_report import report

COUNT: Final = 100_000
HEADS: Final = ("tag", "name", "location", "make", "model", "serial", "appliance_class", "power_w", "notes")
_GROWTH: Final = 1.2
"""By how much the most memory of the longer list may exceed that of one a fifth as long: the file itself is half of that."""


def write_list(path: Path, count: int) -> None:
    """A list of so many items in some hundred rooms."""
    with path.open("w", encoding="utf-8", newline="") as out:
        writer = csv.writer(out)
        writer.writerow(HEADS)
        for number in range(count):
            kind = number % len(NAMES)
            make = MAKES[number % len(MAKES)]
            room = f"Room {number // 250 % 400}"
            power = 100 * (1 + number % 23)
            writer.writerow(
                (
                    f"BE-{number:06}",
                    NAMES[kind],
                    room,
                    make,
                    f"M{number % 90}",
                    f"S{number:07}",
                    1 + kind % 2,
                    power,
                    "",
                )
            )


def empty_register(path: Path) -> None:
    """A register with one site and the general categories."""
    with open_register(path) as register:
        with register.change("bench") as change:
            client = Client(uid=change.new_uid(), name="Millbrook Estates")
            change.put(client)
            change.put(Site(uid=change.new_uid(), client=client.uid, name="Mill", prefix="BE", environment="low-risk"))
        seed_categories(register, "bench")


def import_list(register_path: Path, list_path: Path) -> int:
    """Take a list in, as `appreg import --apply` does, and return how many rows were new."""
    source = read_source(list_path)
    columns = tuple(MappedColumn(head=head, position=at, field=head) for at, head in enumerate(HEADS, 1))
    mapping = ColumnMapping(kind=ImportKind.ITEMS, columns=columns)
    with open_register(register_path) as register:
        (site,) = register.find(Site)
        order = ImportOrder(source=source, mapping=mapping, site=site.uid, today=TODAY)
        done = apply_order(register, "bench", order, settings=Settings(), now=system_clock())
    return done.plan.counts[RowState.NEW]


def joined(register_path: Path, list_path: Path) -> None:
    """The same by the shell: the list into a table, its rooms and its items from there, nothing checked or journalled."""
    columns = [name for name in kind_of(Appliance).codec.names if name not in {"uid", "site", "location", "category"}]
    with sqlite3.connect(register_path) as database:
        usual = {row[1]: row[4] for row in database.execute("PRAGMA table_info(appliance)")}
    plain = [name for name in HEADS if name != "location"]
    others = [name for name in columns if name not in plain]
    script = f"""
.import --csv "{list_path}" staging
BEGIN;
INSERT INTO location (uid, site, name, environment)
  SELECT printf('0%025d', rowid), (SELECT uid FROM site), location, '' FROM staging GROUP BY location;
INSERT INTO appliance (uid, site, location, category, tag_key, {", ".join(plain)}, {", ".join(others)})
  SELECT printf('1%025d', s.rowid), l.site, l.uid, c.uid, lower(s.tag), {", ".join(f"s.{name}" for name in plain)},
    {", ".join(_usual(name, usual[name]) for name in others)}
  FROM staging s JOIN location l ON l.name = s.location LEFT JOIN category c ON c.name = s.name COLLATE NOCASE;
COMMIT;
"""
    if shutil.which("sqlite3"):
        subprocess.run(["sqlite3", "-bail", str(register_path)], input=script, text=True, check=True)
        return
    with sqlite3.connect(register_path) as database, list_path.open(encoding="utf-8", newline="") as rows:
        read = csv.reader(rows)
        heads = next(read)
        database.execute(f"CREATE TABLE staging ({', '.join(heads)})")
        database.executemany(f"INSERT INTO staging VALUES ({', '.join('?' * len(heads))})", read)
        database.commit()
        database.executescript(script.partition("staging\n")[2])


def _usual(name: str, default: str | None) -> str:
    if default is not None:
        return default
    known = {"state": "'in service'", "equipment_type": "'portable'", "rated_volts": "230", "phases": "1"}
    kind = kind_of(Appliance).codec.cells[name]
    return known.get(name) or ("NULL" if type(None) in kind else "0" if int in kind else "''")


def _seconds(what: str, *paths: Path) -> tuple[float, int]:
    """Time on the clock and the most memory, in KiB, of a process of its own."""
    start = time.perf_counter()
    child = subprocess.Popen([sys.executable, "-m", "tests.bench.measure_imports", what, *map(str, paths)])
    _, code, used = os.wait4(child.pid, 0)
    if code:
        raise SystemExit(f"{what} ended with {code}")
    _ = start
    return used.ru_utime + used.ru_stime, used.ru_maxrss


def measure_items(folder: Path) -> None:
    """Compare, and print the ratios."""
    long, short, bare = folder / "long.csv", folder / "short.csv", folder / "bare.sqlite"
    write_list(long, COUNT)
    write_list(short, COUNT // 5)
    for name in ("long", "short", "bare"):
        empty_register(folder / f"{name}.sqlite")
    own, most = _seconds("items", folder / "long.sqlite", long)
    _, less = _seconds("items", folder / "short.sqlite", short)
    plain, _ = _seconds("bare", bare, long)
    again, _ = _seconds("items", folder / "long.sqlite", long)
    start, _ = _seconds("nothing")
    report(
        f"{COUNT} items imported, beside .import and join",
        (own - start) / (plain - start),
        4.0,
        f"{own:.1f} s, {plain:.1f} s",
    )
    report("the same list once more, beside the same", (again - start) / (plain - start), 4.0, f"{again:.1f} s")
    report("most memory, beside a fifth of the list", most / less, _GROWTH, f"{most >> 10} MiB, {less >> 10} MiB")


if __name__ == "__main__":
    if sys.argv[1:2] == ["items"]:
        search_seldom()
        print(f"{import_list(Path(sys.argv[2]), Path(sys.argv[3]))} new")
    elif sys.argv[1:2] == ["bare"]:
        joined(Path(sys.argv[2]), Path(sys.argv[3]))
    elif not sys.argv[1:]:
        with tempfile.TemporaryDirectory() as temporary:
            measure_items(Path(temporary))
