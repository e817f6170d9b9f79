"""Results judged and journalled beside the sqlite3 module's import and join into the same tables, and what memory they take."""

import csv
import os
import sqlite3
import subprocess
import sys
import tempfile
from contextlib import closing
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any, Final

from appreg.cli.garbage import search_seldom
from appreg.clock import system_clock
from appreg.core.records.appliances import ApplianceClass, EquipmentType
from appreg.core.records.kept_records import (
    Appliance,
    AssetTag,
    Client,
    FindingRecord,
    Inspection,
    Instrument,
    Location,
    Person,
    Site,
)
from appreg.exchange.column_mapping import ColumnMapping, MappedColumn
from appreg.exchange.import_fields import ImportKind
from appreg.exchange.source_file import read_source
from appreg.register.opening.register_file import Register, open_register
from appreg.register.schema.record_kinds import Kind, kind_of
from appreg.tasks.desk.keep_settings import Settings
from appreg.tasks.importing.apply_import import apply_order
from appreg.tasks.importing.row_plans import ImportOrder, RowState
from appreg.tasks.keeping.keep_copy import keep_copy
from tests.bench.bench_registers import TODAY
from tests.bench.bench_report import report

COUNT: Final = 100_000
HEADS: Final = (
    "tag", "date", "kind", "person", "instrument", "visual", "earth-continuity", "insulation", "insulation_volts",
    "functional", "outcome",
)  # fmt: skip
_CHECKS: Final = ("visual", "earth-continuity", "insulation", "functional")
_A_DAY: Final = 200
"""Results of one visit."""
_GROWTH: Final = 1.5
"""By how much the most memory may grow with a table five times as long: the table itself and the key of each item are kept."""


def write_results(path: Path, count: int) -> None:
    """A result an item, two in a hundred stated as passes that fail."""
    with path.open("w", encoding="utf-8", newline="") as out:
        writer = csv.writer(out)
        writer.writerow(HEADS)
        for number in range(count):
            day = TODAY - timedelta(days=1 + number // _A_DAY)
            earth = "0.31" if number % 50 == 0 else f"0.{5 + number % 7:02}"
            insulation = ">299" if number % 3 else str(20 + number % 200)
            writer.writerow(
                (f"BE-{number:06}", day, "combined", "BA", "B-1", "ok", earth, insulation, 500, "ok", "pass")
            )


def write_register(path: Path, count: int) -> None:
    """A register with so many items, and whoever tests them; a copy is kept, so that none is made before the results come in."""
    with open_register(path) as register:
        _fill(register, count)
        keep_copy(register, settings=Settings(), now=system_clock())


def _fill(register: Register, count: int) -> None:
    with register.change("bench") as change:
        client = Client(uid=change.new_uid(), name="Millbrook Estates")
        site = Site(uid=change.new_uid(), client=client.uid, name="Mill", prefix="BE", environment="low-risk")
        room = Location(uid=change.new_uid(), site=site.uid, name="Room")
        change.put_many((client, site, room))
        change.put(Person(uid=change.new_uid(), name="Bo Ashgrove", initials="BA"))
        change.put(
            Instrument(uid=change.new_uid(), name="Bench tester", serial="B-1", calibration_due=date(2030, 1, 1))
        )
        change.put_many(
            Appliance(
                uid=change.new_uid(), site=site.uid, location=room.uid, tag=AssetTag(f"BE-{number:06}"), name="Kettle",
                appliance_class=ApplianceClass.CLASS_I, equipment_type=EquipmentType.PORTABLE,
                cord_csa_mm2=Decimal("0.75"), cord_length_m=Decimal("0.8"), fuse_a=Decimal(13), power_w=2200,
            )
            for number in range(count)
        )  # fmt: skip


def import_results(register_path: Path, table: Path) -> int:
    """Take the results in, and return how many were new."""
    columns = tuple(MappedColumn(head=head, position=at, field=head) for at, head in enumerate(HEADS, 1))
    mapping = ColumnMapping(kind=ImportKind.RESULTS, columns=columns)
    with open_register(register_path) as register:
        order = ImportOrder(source=read_source(table), mapping=mapping, site=None, today=TODAY)
        done = apply_order(register, "bench", order, settings=Settings(), now=system_clock())
    return done.plan.counts[RowState.NEW]


def joined(register_path: Path, table: Path) -> None:
    """The same by the sqlite3 module: visits, inspections and findings by joins, nothing judged or journalled."""
    with closing(sqlite3.connect(register_path)) as database, table.open(encoding="utf-8", newline="") as rows:
        read = csv.reader(rows)
        heads = [f'"{name}"' for name in next(read)]
        database.execute(f"CREATE TABLE staging ({', '.join(heads)})")
        database.executemany(f"INSERT INTO staging VALUES ({', '.join('?' * len(heads))})", read)  # noqa: S608 - heads of our own
        database.execute(
            "INSERT INTO visit (uid, site, date, person, instrument, fixed_wiring_reference, notes) "
            "SELECT printf('0%025d', s.rowid), (SELECT uid FROM site), s.date, p.uid, i.uid, '', '' FROM staging s "
            "JOIN person p ON p.initials = s.person JOIN instrument i ON i.serial = s.instrument GROUP BY s.date"
        )
        _insert(database, Inspection, {
            "uid": "printf('1%025d', s.rowid)", "appliance": "a.uid", "visit": "v.uid", "date": "s.date",
            "kind": "s.kind", "person": "v.person", "instrument": "v.instrument", "outcome": "s.outcome",
            "missing": "'[]'", "advice": "'[]'", "item_facts": "'{}'",
        }, "staging s JOIN appliance a ON a.tag = s.tag JOIN visit v ON v.date = s.date")  # fmt: skip
        for place, check in enumerate(_CHECKS):
            _insert(database, FindingRecord, {
                "uid": f"printf('{2 + place}%025d', s.rowid)", "inspection": "printf('1%025d', s.rowid)",
                "position": str(place), "check_name": f"'{check}'", "reading": f's."{check}"', "finding": "'pass'",
                "attempts": "'[]'",
            }, "staging s")  # fmt: skip
        database.execute(
            "UPDATE appliance SET last_inspection = i.uid, last_date = i.date, last_outcome = i.outcome, "
            "next_visual = date(i.date, '+12 months'), next_test = date(i.date, '+24 months') "
            "FROM inspection i WHERE i.appliance = appliance.uid"
        )
        database.commit()


def _insert(database: sqlite3.Connection, record: type, told: dict[str, str], source: str) -> None:
    kind: Kind[Any] = kind_of(record)
    usual = {
        name: "NULL" if type(None) in cells else "0" if int in cells else "''"
        for name, cells in kind.codec.cells.items()
    }
    values = ", ".join(told.get(name, usual[name]) for name in kind.codec.names)
    database.execute(f"INSERT INTO {kind.table} ({kind.columns}) SELECT {values} FROM {source}")  # noqa: S608 - names of our own


def _used(what: str, *paths: Path) -> tuple[float, int]:
    """Time that a process of its own worked, and the most memory it had, in KiB."""
    child = subprocess.Popen([sys.executable, "-m", "tests.bench.measure_results", what, *map(str, paths)])
    _, code, used = os.wait4(child.pid, 0)
    if code:
        raise SystemExit(f"{what} ended with {code}")
    return used.ru_utime + used.ru_stime, used.ru_maxrss


def measure(folder: Path, count: int = COUNT) -> None:
    """Compare, and print the ratios."""
    long, short = folder / "long.csv", folder / "short.csv"
    write_results(long, count)
    write_results(short, count // 5)
    for name, items in (("long", count), ("short", count // 5), ("bare", count)):
        write_register(folder / f"{name}.sqlite", items)
    start, _ = _used("nothing")
    plain, _ = _used("bare", folder / "bare.sqlite", long)
    own, most = _used("results", folder / "long.sqlite", long)
    _, less = _used("results", folder / "short.sqlite", short)
    report(
        f"{count} results judged and journalled, beside import and join",
        (own - start) / (plain - start), 12.0, f"{own:.1f} s, {plain:.1f} s",
    )  # fmt: skip
    report("most memory, beside a fifth of the table", most / less, _GROWTH, f"{most >> 10} MiB, {less >> 10} MiB")


def main(told: list[str]) -> None:
    """Measure, or be the process that is measured."""
    what, *paths = told or ["measure"]
    if what == "results":
        search_seldom()
        assert import_results(*map(Path, paths)) > 0
    elif what == "bare":
        joined(*map(Path, paths))
    elif what == "measure":
        with tempfile.TemporaryDirectory(prefix="appreg-bench-") as folder:
            measure(Path(folder), *map(int, paths))


if __name__ == "__main__":
    main(sys.argv[1:])
