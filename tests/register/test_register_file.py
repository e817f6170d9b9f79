import json
import sqlite3
import threading
from collections.abc import Sequence
from hashlib import sha256
from pathlib import Path
from random import Random
from typing import Any

import pytest
from msgspec.structs import replace

from appreg.clock import Instant
from appreg.core.records.kept_records import Appliance, Client, Location, Record, Site
from appreg.core.values.uids import is_uid
from appreg.errors import AppregError, InputRefused, NotFound, RegisterUnusable
from appreg.register.checking.checking import problems
from appreg.register.journal.uid_source import Entropy
from appreg.register.opening import file_making
from appreg.register.opening.migrations import make_tables
from appreg.register.opening.register_file import open_register
from appreg.register.schema.file_marks import NEWEST
from tests.hostile_names import HOSTILE_NAMES
from tests.register.sample_register import (
    CLIENT,
    EVERYTHING,
    KETTLE,
    LEAD,
    LOCATION,
    SITE,
    all_of,
    build_register,
    item,
    small_estate,
    ticking_clock,
    uid,
)


@pytest.mark.parametrize("record", EVERYTHING, ids=lambda record: f"{type(record).__name__}-{record.uid[-2:]}")
def test_what_was_put_is_what_is_got(record: Record, tmp_path: Path) -> None:
    with build_register(tmp_path / "r.appreg") as register:
        assert register.get(type(record), record.uid) == record
        assert record in register.find(type(record))


def test_records_are_found_by_any_field_and_by_its_absence(tmp_path: Path) -> None:
    with build_register(tmp_path / "r.appreg") as register:
        assert register.find(Appliance, site=SITE.uid, heating=False) == [KETTLE]
        assert register.find(Appliance, feeds=KETTLE.uid, state=LEAD.state) == [LEAD]
        assert register.find(Appliance, last_date=None) == [KETTLE]
        assert register.find(Appliance, last_date=LEAD.last_date) == [LEAD]
        assert register.find(Appliance, fuse_a=LEAD.fuse_a) == [LEAD]
        assert register.find(Appliance, tag="nothing") == []
        with pytest.raises(TypeError):
            register.find(Appliance, colour="red")


def test_a_key_that_is_not_there_is_said_in_one_sentence(tmp_path: Path) -> None:
    with build_register(tmp_path / "r.appreg") as register, pytest.raises(NotFound, match=r"has no site with the key"):
        register.get(Site, uid(99))


def test_the_register_reads_the_same_after_it_was_closed(tmp_path: Path) -> None:
    build_register(tmp_path / "r.appreg").close()
    with open_register(tmp_path / "r.appreg", create=False) as register:
        for record in EVERYTHING:
            assert register.get(type(record), record.uid) == record


@pytest.mark.usefixtures("waits_for_the_disk")
def test_the_file_is_durable_and_guarded(tmp_path: Path) -> None:
    with build_register(tmp_path / "r.appreg") as register:
        asked = {
            name: register.rows(f"PRAGMA {name}")[0][0]
            for name in ("journal_mode", "synchronous", "foreign_keys", "recursive_triggers", "user_version")
        }
    # SQLite documentation, "PRAGMA Statements": synchronous 2 is FULL.
    assert asked == {
        "journal_mode": "wal",
        "synchronous": 2,
        "foreign_keys": 1,
        "recursive_triggers": 1,
        "user_version": NEWEST,
    }


def test_the_standard_library_reads_the_same_values(tmp_path: Path) -> None:
    build_register(tmp_path / "r.appreg").close()
    raw = sqlite3.connect(tmp_path / "r.appreg")
    raw.row_factory = sqlite3.Row
    assert raw.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
    assert raw.execute("PRAGMA foreign_key_check").fetchall() == []
    lead = raw.execute("SELECT * FROM appliance WHERE tag = 'KL-002'").fetchone()
    assert (lead["cord_csa_mm2"], lead["tinned"], lead["next_test"]) == ("1.50", 1, "2027-11-24")
    assert (lead["rcd"], lead["last_outcome"], lead["state"]) == ("bs4293", "fail", "withdrawn")
    finding = raw.execute("SELECT * FROM finding WHERE position = 1").fetchone()
    assert finding["limit_high"] == "0.139"
    assert json.loads(finding["attempts"]) == ["10:00:01 0.6", "10:00:09 >0.5"]
    assert raw.execute("SELECT name FROM client").fetchone()[0] == "Harbour Row Lettings [red]"
    raw.close()


def test_the_chain_can_be_checked_with_nothing_but_the_standard_library(tmp_path: Path) -> None:
    build_register(tmp_path / "r.appreg").close()
    raw = sqlite3.connect(tmp_path / "r.appreg")
    raw.row_factory = sqlite3.Row
    previous = "0" * 64
    lines = raw.execute("SELECT * FROM journal ORDER BY sequence").fetchall()
    assert [line["sequence"] for line in lines] == list(range(1, len(lines) + 1))
    for line in lines:
        content = {name: line[name] for name in line.keys() if name != "hash"}  # noqa: SIM118
        text = json.dumps(content, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
        assert line["hash"] == sha256(text.encode()).hexdigest()
        assert line["previous_hash"] == previous
        previous = line["hash"]
    raw.close()


def test_hostile_text_is_kept_as_it_is_and_does_nothing(tmp_path: Path) -> None:
    with open_register(tmp_path / "r.appreg") as register:
        (site,) = small_estate(register)
        items = [
            item(register, site, f"S0-{number:03}", name=name, notes=name, make=name)
            for number, name in enumerate(HOSTILE_NAMES)
        ]
        with register.change("Sam [red]") as change:
            for appliance in items:
                change.put(appliance)
        assert register.find(Appliance) == items
        assert list(problems(register)) == []


def test_a_foreign_database_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "other.db"
    raw = sqlite3.connect(path)
    raw.execute("CREATE TABLE other (x)")
    raw.commit()
    raw.close()
    before = path.read_bytes()
    with pytest.raises(RegisterUnusable, match="database of another program"):
        open_register(path)
    assert path.read_bytes() == before


def test_a_file_that_is_no_database_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "letter.txt"
    path.write_text("Dear Sir, " * 500)
    with pytest.raises(RegisterUnusable, match="is not a register of appreg"):
        open_register(path)
    assert path.read_text().startswith("Dear Sir")


def test_a_register_of_a_newer_program_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "r.appreg"
    build_register(path).close()
    raw = sqlite3.connect(path)
    raw.execute("INSERT INTO migration VALUES (999, 'later', 'later')")
    raw.commit()
    raw.close()
    with pytest.raises(RegisterUnusable, match="newer appreg"):
        open_register(path)


def test_a_folder_and_a_missing_file_are_said_in_words(tmp_path: Path) -> None:
    with pytest.raises(RegisterUnusable, match="is a folder"):
        open_register(tmp_path)
    with pytest.raises(RegisterUnusable, match="There is no register at"):
        open_register(tmp_path / "none.appreg", create=False)
    assert not (tmp_path / "none.appreg").exists()
    (tmp_path / "file").write_text("")
    with pytest.raises(RegisterUnusable):
        open_register(tmp_path / "file" / "r.appreg")


def test_the_folder_of_a_new_register_is_made(tmp_path: Path) -> None:
    with open_register(tmp_path / "a" / "b" / "r.appreg") as register:
        assert register.path.exists()
        assert is_uid(register.origin)


def test_a_register_in_use_is_said_in_one_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "r.appreg"
    build_register(path).close()
    monkeypatch.setattr("appreg.register.engine.file_opening._WAIT_SECONDS", 0.05)
    holder = sqlite3.connect(path, isolation_level=None)
    holder.execute("BEGIN IMMEDIATE")
    with open_register(path) as register:
        assert register.get(Client, CLIENT.uid) == CLIENT
        with pytest.raises(RegisterUnusable, match="in use by another program"), register.change("Sam") as change:
            change.put(replace(CLIENT, name="Other"))
    holder.close()


def test_a_damaged_file_is_said_in_one_sentence(tmp_path: Path) -> None:
    path = tmp_path / "r.appreg"
    with build_register(path) as register:
        register.rows("PRAGMA wal_checkpoint(TRUNCATE)")
    content = bytearray(path.read_bytes())
    content[4096:] = b"\x5a" * (len(content) - 4096)
    path.write_bytes(content)
    with pytest.raises(AppregError, match=r"^[^\n]+\.$"), open_register(path) as register:
        register.find(Appliance)


def test_each_thread_takes_its_own_connection(tmp_path: Path) -> None:
    failures: list[BaseException] = []
    with build_register(tmp_path / "r.appreg") as register:

        def work(number: int) -> None:
            try:
                with register.reopen() as own:
                    for turn in range(10):
                        with own.change(f"thread {number}") as change:
                            client = own.get(Client, CLIENT.uid)
                            change.put(replace(client, notes=f"{client.notes}{number}"))
                            change.put(Client(uid=own.new_uid(), name=f"{number}.{turn}"))
            except BaseException as failure:  # noqa: BLE001 - handed to the test
                failures.append(failure)

        threads = [threading.Thread(target=work, args=(number,)) for number in range(3)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert failures == []
        assert sorted(register.get(Client, CLIENT.uid).notes) == sorted("n" + "0" * 10 + "1" * 10 + "2" * 10)
        assert len(register.find(Client)) == 31
        assert list(problems(register)) == []


@pytest.mark.parametrize("entropy", [lambda bits: (1 << bits) - 1, lambda _bits: 0], ids=["all ones", "all noughts"])
def test_new_keys_are_unique_and_in_order_even_when_the_clock_stands_still(tmp_path: Path, entropy: Entropy) -> None:
    with open_register(tmp_path / "r.appreg", clock=lambda: Instant(5), entropy=entropy) as register:
        keys = [register.new_uid() for _ in range(50)]
    assert keys == sorted(set(keys))
    assert all(is_uid(key) for key in keys)


def test_equal_clocks_and_entropy_make_equal_registers(tmp_path: Path) -> None:
    def built(name: str) -> list[Any]:
        with open_register(tmp_path / name, clock=ticking_clock(), entropy=lambda bits: 1 << (bits - 2)) as register:
            small_estate(register, sites=2)
            return register.rows("SELECT * FROM journal ORDER BY sequence")

    assert built("a.appreg") == built("b.appreg")


def test_a_site_without_its_client_is_refused(tmp_path: Path) -> None:
    with (
        open_register(tmp_path / "r.appreg") as register,
        pytest.raises(InputRefused, match="one that is not there"),
        register.change("Sam") as change,
    ):
        change.put(SITE)


def test_opening_an_existing_register_writes_nothing(tmp_path: Path) -> None:
    path = tmp_path / "r.appreg"
    build_register(path).close()
    before = path.read_bytes()
    with open_register(path) as register:
        assert register.find(Location) == [LOCATION]
    assert path.read_bytes() == before


def test_whether_there_is_one_is_told_without_reading_any(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with build_register(tmp_path / "r.appreg") as register:
        there, read = [], register.engine.rows

        def counted(statement: str, parameters: Sequence[Any] = ()) -> list[tuple[Any, ...]]:
            there.append(read(statement, parameters))
            return there[-1]

        monkeypatch.setattr(register.engine, "rows", counted)
        assert register.has(Appliance, site=SITE.uid)
        assert not register.has(Appliance, site=SITE.uid, power_w=17)
        assert register.has(Appliance)
        assert there == [[(1,)], [], [(1,)]]
        with pytest.raises(TypeError, match="no field colour"):
            register.has(Appliance, colour="green")


def test_a_register_of_the_tests_is_the_one_that_the_program_makes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def made(name: str) -> tuple[list[str], list[tuple[object, ...]]]:
        chance = Random(3)
        with open_register(tmp_path / name, clock=ticking_clock(), entropy=chance.getrandbits) as register:
            assert list(problems(register)) == []
            said = "SELECT type, name, tbl_name, sql FROM sqlite_master ORDER BY rowid"
            kept = [row for rows in all_of(register).values() for row in rows]
            return list(register.connection.iterdump()), [*register.rows(said), *kept]

    of_the_tests = made("copied")
    monkeypatch.setattr(file_making, "make_tables", make_tables)
    assert made("made") == of_the_tests
