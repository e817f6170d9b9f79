"""What only a register in a database meets: other desks, a server that goes and comes back, tables altered behind its back."""

import sqlite3
import subprocess
import sys
from contextlib import closing
from itertools import pairwise
from operator import attrgetter
from pathlib import Path
from threading import Thread
from time import monotonic, sleep
from typing import Any
from urllib.parse import quote

import psycopg
import pytest
from msgspec import defstruct
from msgspec.structs import fields, replace

from appreg.core.records.kept_records import Appliance, Client, Site, Visit
from appreg.core.values.searched_words import searched_words, words_of
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused, RegisterUnusable
from appreg.register.checking.checking import problems
from appreg.register.copies.carrying import carry
from appreg.register.copies.copy_checking import copy_problems
from appreg.register.engine.places import Place, ServerPlace
from appreg.register.history.half_filled import damaged_benches, half_filled_of
from appreg.register.history.journal import history_of
from appreg.register.opening import migrations, server_opening
from appreg.register.opening.copying import copies_folder
from appreg.register.opening.register_file import Register, open_register
from appreg.register.opening.register_making import make_anywhere
from appreg.register.schema import tables
from appreg.register.schema.file_marks import NEWEST
from appreg.register.schema.later_tables import MIGRATIONS
from appreg.register.schema.record_codec import Codec
from appreg.register.schema.record_kinds import KINDS, Kind, kind_of
from tests.postgres_server import PostgresServer, why_no_server
from tests.register.refused_statements import REFUSED
from tests.register.sample_register import (
    BEFORE_INSPECTION,
    CLIENT,
    EVERYTHING,
    KETTLE,
    SAVED,
    SITE,
    WORK,
    all_of,
    build_register,
    item,
    ticking_clock,
)  # fmt: skip

LATER = 1_796_000_000_000
pytestmark = pytest.mark.skipif(bool(why_no_server()), reason=why_no_server() or "a server is there")


@pytest.fixture
def there(server: PostgresServer, tmp_path: Path) -> ServerPlace:
    return server.new_place(tmp_path / "there")


_OF_FILES = (
    # A number is written as its figures here, and a row is not replaced by inserting it.
    "UPDATE appliance SET next_test = 5",
    "INSERT OR REPLACE INTO finding SELECT * FROM finding",
)


def _raw(there: ServerPlace) -> "psycopg.Connection[tuple[object, ...]]":
    return psycopg.connect(there.address, autocommit=True)


@pytest.mark.parametrize(
    "statement",
    [
        *(statement for statement in REFUSED if statement not in _OF_FILES),
        "UPDATE appliance SET state = 'on fire'",
        "TRUNCATE journal",
        "TRUNCATE inspection CASCADE",
    ],
)
def test_the_database_itself_refuses(statement: str, there: ServerPlace) -> None:
    build_register(there).close()
    with _raw(there) as raw, pytest.raises((psycopg.IntegrityError, psycopg.DataError)):
        raw.execute(statement.encode())


@pytest.mark.parametrize(
    ("alter", "table"),
    [
        ("UPDATE appliance SET name = 'Other'", "appliance"),
        ("UPDATE appliance SET words = 'other'", "appliance"),
        ("UPDATE appliance SET tag_key = 'other' || uid", "appliance"),
        ("UPDATE journal SET who = 'Eve' WHERE sequence = 5", "journal"),
        ("DELETE FROM journal WHERE sequence = (SELECT max(sequence) FROM journal)", "register_meta"),
        ("DELETE FROM finding WHERE position = 1", "finding"),
        ("DROP INDEX appliance_order", "appliance"),
        ("DROP TRIGGER finding_no_update ON finding", "finding"),
        ("ALTER TABLE finding DISABLE TRIGGER finding_no_delete", "finding"),
        ("ALTER TABLE appliance DROP CONSTRAINT appliance_phases_check", "appliance"),
        ("ALTER TABLE client ADD COLUMN more text", "client"),
        ("ALTER TABLE client DROP COLUMN name", "client"),
        ("CREATE TABLE theirs (client text REFERENCES client(uid))", "theirs"),
        (
            "CREATE OR REPLACE FUNCTION appreg_refuse() RETURNS trigger LANGUAGE plpgsql AS $$BEGIN RETURN NEW; END$$",
            "",
        ),
        ("DELETE FROM location", "location"),
    ],
)
def test_what_is_altered_behind_its_back_is_found(alter: str, table: str, there: ServerPlace) -> None:
    build_register(there).close()
    with _raw(there) as raw:
        # As whoever owns the server can: no trigger runs, so nothing is refused.
        raw.execute(b"SET session_replication_role = replica")
        raw.execute(alter.encode())
    with open_register(there, create=False) as register:
        found = list(problems(register))
    assert found
    assert not table or table in {each.table for each in found}


def test_damage_that_ends_one_part_of_the_check_leaves_the_others_to_be_done(there: ServerPlace) -> None:
    build_register(there).close()
    with _raw(there) as raw:
        raw.execute(b"ALTER TABLE client DROP COLUMN name; SET session_replication_role = replica")
        raw.execute(b"UPDATE visit SET notes = 'Eve'; UPDATE journal SET who = 'Eve' WHERE sequence = 5")
    with open_register(there, create=False) as register:
        found = list(problems(register))
    assert {"journal", "visit"} <= {each.table for each in found}
    assert not any("aborted" in each.sentence for each in found)


def test_lines_of_one_time_are_taken_in_the_order_they_were_written(there: ServerPlace) -> None:
    with build_register(there) as register:
        for name in ("Second", "Third"):
            with register.change("Sam") as change:
                change.put(replace(CLIENT, name=name))
    with _raw(there) as raw:
        # As an older program could stamp them, and the rows lie in the database in any order.
        raw.execute(b"SET session_replication_role = replica")
        raw.execute(b"CREATE TEMP TABLE kept AS SELECT * FROM journal ORDER BY sequence DESC")
        raw.execute(b"UPDATE kept SET time = (SELECT min(time) FROM kept)")
        raw.execute(b"TRUNCATE journal")
        raw.execute(b"INSERT INTO journal SELECT * FROM kept")
    with open_register(there, create=False) as register:
        assert [line.after and line.after["name"] for line in history_of(register, CLIENT.uid)] == [
            CLIENT.name, "Second", "Third",
        ]  # fmt: skip
        found = [each for each in problems(register) if each.table != "journal" or each.column != "time"]
        assert not [each for each in found if "the lines before it say" in each.sentence or each.table == "client"]


def test_an_address_whose_schema_is_not_there_is_told(there: ServerPlace) -> None:
    nowhere = ServerPlace(there.address + "x", there.beside)
    with pytest.raises(InputRefused, match="appreg new"):
        open_register(nowhere, create=False)
    with pytest.raises(RegisterUnusable, match="schema"):
        make_anywhere(nowhere)


def test_a_sound_register_is_found_sound(there: ServerPlace) -> None:
    with build_register(there) as register:
        assert list(problems(register)) == []


def test_each_desk_holds_the_chain_in_turn(there: ServerPlace) -> None:
    build_register(there).close()
    refused: list[Exception] = []

    def work(who: str) -> None:
        try:
            with open_register(there, create=False) as register:
                for number in range(15):
                    with register.change(who, "work") as change:
                        change.put(Client(uid=change.new_uid(), name=f"{who} {number}"))
        except Exception as error:  # noqa: BLE001 - told below
            refused.append(error)

    desks = [Thread(target=work, args=(who,)) for who in ("Ann", "Ben", "Cid")]
    for desk in desks:
        desk.start()
    for desk in desks:
        desk.join()
    assert refused == []
    with open_register(there, create=False) as register:
        assert len(register.find(Client)) == 46
        assert list(problems(register)) == []


def test_a_desk_that_waited_goes_on_from_what_the_other_saved_whatever_the_server_is_set_to(there: ServerPlace) -> None:
    build_register(there).close()
    strict = ServerPlace(there.address + quote(" -cdefault_transaction_isolation=serializable"), there.beside)
    refused: list[Exception] = []

    def wait() -> None:
        try:
            with open_register(strict, create=False) as register, register.change("Ben") as change:
                change.put(replace(CLIENT, name="Ben's"))
        except Exception as error:  # noqa: BLE001 - told below
            refused.append(error)

    waiting = Thread(target=wait)
    with open_register(there, create=False) as register:
        with register.change("Ann") as change:
            change.put(replace(CLIENT, name="Ann's"))
            waiting.start()
            while not register.rows("SELECT 1 FROM pg_locks WHERE NOT granted"):
                assert waiting.is_alive()
        waiting.join()
        assert refused == []
        assert register.get(Client, CLIENT.uid).name == "Ben's"
        assert list(problems(register)) == []


def test_other_tables_of_the_database_are_not_tidied_up(there: ServerPlace) -> None:
    with build_register(there) as register, _raw(there) as raw:
        raw.execute(b"CREATE SCHEMA others; CREATE TABLE others.theirs (x int)")
        register.tune()
        looked_at = (
            "SELECT count(*) FROM pg_stat_all_tables WHERE relname = ? AND schemaname = {} AND last_analyze IS NOT NULL"
        )
        raw.execute(b"SELECT pg_stat_clear_snapshot()")
        assert register.rows(looked_at.format("current_schema()"), ("journal",)) == [(1,)]
        assert register.rows(looked_at.format("'others'"), ("theirs",)) == [(0,)]
        raw.execute(b"DROP SCHEMA others CASCADE")


def test_half_filled_benches_are_read_alike_in_a_file_and_in_a_database(there: ServerPlace, tmp_path: Path) -> None:
    kept = []
    for place in (there, tmp_path / "r.appreg"):
        with build_register(place) as register:
            assert register.rows("SELECT 1 FROM bench_draft")
            assert list(damaged_benches(register)) == []
            kept.append(half_filled_of(register))
            rows = register.rows("SELECT visit, appliance, body FROM bench_draft")
            assert kept[-1] == {tuple(cell.encode() for cell in row) for row in rows}
    assert kept[0] == kept[1]
    with _raw(there) as raw:
        raw.execute(b"SET session_replication_role = replica")
        raw.execute("UPDATE bench_draft SET visit = %s", ("0" * 26,))
    with open_register(there, create=False) as register:
        assert [sentence for sentence in damaged_benches(register) if "not there" in sentence]


def test_a_server_that_went_is_told_and_all_goes_on_when_it_is_back(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    own = PostgresServer()
    try:
        there = own.new_place(tmp_path / "there")
        with build_register(there) as register:
            own.stop()
            with pytest.raises(RegisterUnusable, match="cannot be reached"):
                register.find(Client)
            with pytest.raises(RegisterUnusable, match="cannot be reached"), register.change("Sam"):
                raise AssertionError
            register.tune()
            own.start()
            assert register.find(Client) == [CLIENT]
            own.stop("immediate")
            own.start()
            assert list(register.stream("SELECT uid FROM client")) == [(CLIENT.uid,)]
            with register.change("Sam") as change:
                change.put(replace(CLIENT, name="Back"))
            _stop_within_a_change(own, register)
            assert caplog.records == []
            own.start()
            assert register.get(Client, CLIENT.uid).name == "Back"
            with register.change("Sam") as change:
                change.put(replace(CLIENT, name="Back again"))
            assert list(problems(register)) == []
    finally:
        own.remove()


def _stop_within_a_change(own: PostgresServer, register: Register) -> None:
    def work() -> None:
        with register.change("Sam") as change:
            change.put(replace(CLIENT, name="Never"))
            own.stop("immediate")
            change.put(replace(CLIENT, name="Neither"))

    with pytest.raises(RegisterUnusable, match="cannot be reached"):
        work()


def test_another_desk_that_hangs_is_said_to_be_at_work(there: ServerPlace) -> None:
    with build_register(there) as register, _raw(there) as hanging:
        register.connection.execute(b"SET lock_timeout = '100ms'")
        hanging.execute(b"BEGIN")
        hanging.execute(b"SELECT value FROM register_meta WHERE key = 'origin' FOR UPDATE")
        with pytest.raises(RegisterUnusable, match="in use by another program"), register.change("Sam"):
            raise AssertionError


@pytest.mark.parametrize("way", ["file", "server"])
def test_a_register_carried_over_and_back_is_the_same(way: str, there: ServerPlace, tmp_path: Path) -> None:
    places: list[Place] = [tmp_path / "first.appreg", there, tmp_path / "second.appreg"]
    if way == "server":
        places = places[1:]
    with build_register(places[0]) as register:
        before = all_of(register)
    for source, target in pairwise(places):
        with open_register(source, create=False) as register:
            carry(register, target)
        with open_register(target, create=False) as register:
            assert all_of(register) == before
            assert list(problems(register)) == []
            with pytest.raises(InputRefused):
                carry(register, target)
    with open_register(places[-2], create=False) as register:
        with register.change("Sam") as change:
            change.put(item(register, register.find(Site)[0], "KL-900"))
        assert list(problems(register)) == []


def test_nothing_is_made_in_another_programs_database(there: ServerPlace) -> None:
    with _raw(there) as raw:
        raw.execute(b"CREATE TABLE theirs (x int)")
    for open_it in (lambda: open_register(there), lambda: make_anywhere(there)):
        with pytest.raises(RegisterUnusable, match="another program"):
            open_it()


def test_an_empty_database_is_no_register_until_one_is_made(there: ServerPlace) -> None:
    with pytest.raises(InputRefused, match="appreg new"):
        open_register(there, create=False)
    make_anywhere(there)
    with pytest.raises(InputRefused, match="already"):
        make_anywhere(there)
    with open_register(there, create=False) as register:
        assert register.rows("SELECT max(number) FROM migration") == [(NEWEST,)]


def test_an_older_register_is_taken_to_todays_tables(there: ServerPlace, monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as older:
        older.setattr(migrations, "MIGRATIONS", MIGRATIONS[:7])
        older.setattr(server_opening, "NEWEST", 7)
        make_anywhere(there)
    with open_register(there, create=False) as register:
        assert register.rows("SELECT number FROM migration ORDER BY number") == [(n,) for n in range(1, NEWEST + 1)]
        assert list(problems(register)) == []
        with register.change("Sam") as change:
            for record in EVERYTHING[:2]:
                change.put(record)
        assert list(problems(register)) == []


def _older_register(there: ServerPlace, newest: int, monkeypatch: pytest.MonkeyPatch, *, filled: bool = True) -> None:
    """A register as the steps up to that one make it; filled with everything, where that had its present form then."""
    with monkeypatch.context() as older:
        older.setattr(migrations, "MIGRATIONS", MIGRATIONS[:newest])
        older.setattr(server_opening, "NEWEST", newest)
        with open_register(there, clock=ticking_clock()) as register:
            if filled:
                _fill_in_its_form(register, older)
    tables._model.cache_clear()


def _fill_in_its_form(register: Register, older: pytest.MonkeyPatch) -> None:
    there = "SELECT table_name FROM information_schema.tables WHERE table_schema = current_schema()"
    known = {name for (name,) in register.rows(there)}
    records = [
        each
        for each in (*BEFORE_INSPECTION, *SAVED, *WORK)
        if kind_of(type(each)).journalled and kind_of(type(each)).table in known
    ]
    for record in records:
        _take_form_of(register, kind_of(type(record)), older)
    with register.change("Ann") as change:
        for record in records:
            change.put(record)


def _take_form_of(register: Register, kind: Kind[Any], older: pytest.MonkeyPatch) -> None:
    """Write a kind of record with the columns that an older register has for it."""
    known = (
        "SELECT column_name FROM information_schema.columns WHERE table_schema = current_schema() AND table_name = ?"
    )
    names = {name for (name,) in register.rows(known, (kind.table,))}
    then = [(each.name, each.type) for each in fields(kind.record) if each.name in names]
    codec: Codec[Any] = Codec(defstruct(kind.record.__name__, then, kw_only=True))
    # Of today's records only the fields of then.
    older.setattr(codec, "values_of", attrgetter(*codec.names))
    # The columns first: they are worked out from the codec where nobody has asked for them yet, and put back afterwards.
    older.setattr(kind, "columns", ", ".join(f'"{name}"' for name in codec.names))
    older.setattr(kind, "codec", codec)
    tables._model.cache_clear()


def test_a_copy_is_kept_before_the_tables_are_altered(there: ServerPlace, monkeypatch: pytest.MonkeyPatch) -> None:
    _older_register(there, NEWEST - 1, monkeypatch)
    with _raw(there) as raw:
        lines = raw.execute(b"SELECT * FROM journal ORDER BY sequence").fetchall()
    with open_register(there, create=False, clock=ticking_clock(LATER)) as register:
        assert list(problems(register)) == []
        now = {kind.table: register.find(kind.record) for kind in KINDS.values()}
    (copy,) = copies_folder(there.beside).iterdir()
    with closing(sqlite3.connect(copy)) as raw_copy:
        assert raw_copy.execute("SELECT * FROM journal ORDER BY sequence").fetchall() == lines
        assert raw_copy.execute("SELECT max(number) FROM migration").fetchone() == (NEWEST - 1,)
    assert copy_problems(copy) == ()
    with open_register(copy, create=False, clock=ticking_clock(LATER)) as register:
        assert {kind.table: register.find(kind.record) for kind in KINDS.values()} == now


@pytest.mark.parametrize("newest", range(1, 7))
def test_older_forms_of_the_tables_are_copied_and_taken_to_todays(
    newest: int, there: ServerPlace, monkeypatch: pytest.MonkeyPatch
) -> None:
    _older_register(there, newest, monkeypatch, filled=False)
    with open_register(there, create=False) as register:
        assert list(problems(register)) == []
    (copy,) = copies_folder(there.beside).iterdir()
    assert copy_problems(copy) == ()


@pytest.mark.parametrize(("newest", "filled"), [(8, False), (9, False), (10, True)])
def test_tables_made_without_a_column_are_copied_as_they_are_and_taken_to_todays(
    newest: int, filled: bool, there: ServerPlace, monkeypatch: pytest.MonkeyPatch
) -> None:
    _older_register(there, newest, monkeypatch, filled=filled)
    with _raw(there) as raw:
        raw.execute(b"ALTER TABLE visit DROP COLUMN additional_protection")
    with open_register(there, create=False) as register:
        assert list(problems(register)) == []
        assert [each.additional_protection for each in register.find(Visit)] == [False] * filled
    (copy,) = copies_folder(there.beside).iterdir()
    with closing(sqlite3.connect(copy)) as raw_copy:
        columns = [name for (name,) in raw_copy.execute("SELECT name FROM pragma_table_info('visit')")]
    assert columns[-1] == "period_colour"
    assert copy_problems(copy) == ()


def test_nothing_is_altered_where_no_copy_can_be_kept(there: ServerPlace, monkeypatch: pytest.MonkeyPatch) -> None:
    _older_register(there, NEWEST - 1, monkeypatch)
    folder = copies_folder(there.beside)
    folder.write_text("in the way")
    with pytest.raises(RegisterUnusable, match="left so, as no copy of it could be kept first"):
        open_register(there, create=False)
    with _raw(there) as raw:
        assert raw.execute(b"SELECT max(number) FROM migration").fetchone() == (NEWEST - 1,)
        # What a file does not take, a copy cannot hold.
        folder.unlink()
        raw.execute(b"SET session_replication_role = replica; ALTER TABLE client ALTER COLUMN name DROP NOT NULL")
        raw.execute(b"UPDATE client SET name = NULL")
    with pytest.raises(RegisterUnusable, match="left so, as no copy of it could be kept first"):
        open_register(there, create=False)
    with _raw(there) as raw:
        assert raw.execute(b"SELECT max(number) FROM migration").fetchone() == (NEWEST - 1,)
    assert list(folder.iterdir()) == []


def test_who_may_only_read_is_told_that_an_older_register_waits(
    there: ServerPlace, monkeypatch: pytest.MonkeyPatch
) -> None:
    _older_register(there, NEWEST - 1, monkeypatch)
    with pytest.raises(RegisterUnusable, match="older appreg and cannot be brought up to date, as you may not write"):
        open_register(_reader_of(there), create=False)


def test_a_newer_register_is_left_alone(there: ServerPlace) -> None:
    make_anywhere(there)
    with _raw(there) as raw:
        raw.execute(b"INSERT INTO migration VALUES (999, 'later', '')")
    with pytest.raises(RegisterUnusable, match="newer appreg"):
        open_register(there, create=False)


def test_a_character_no_database_can_hold_is_refused(there: ServerPlace) -> None:
    with build_register(there) as register:
        with pytest.raises(InputRefused), register.change("Sam") as change:
            change.put(replace(CLIENT, name="nothing \0 in it"))
        assert register.get(Client, CLIENT.uid) == CLIENT


def _reader_of(there: ServerPlace) -> ServerPlace:
    """The same register for one who may not write into it."""
    with _raw(there) as raw:
        schema = raw.execute(b"SELECT current_schema()").fetchone()
        assert schema is not None
        raw.execute(f"CREATE ROLE reader_{schema[0]} LOGIN".encode())
        raw.execute(f"GRANT USAGE ON SCHEMA {schema[0]} TO reader_{schema[0]}".encode())
        raw.execute(f"GRANT SELECT ON ALL TABLES IN SCHEMA {schema[0]} TO reader_{schema[0]}".encode())
    return ServerPlace(there.address.replace("postgres@", f"reader_{schema[0]}@", 1), there.beside)


def test_who_may_only_read_reads(there: ServerPlace) -> None:
    build_register(there).close()
    with open_register(_reader_of(there), create=False) as register:
        assert register.get(Appliance, KETTLE.uid) == KETTLE
        assert "may not write" in register.read_only
        with pytest.raises(RegisterUnusable, match="open to read only"), register.change("Sam"):
            raise AssertionError
        assert history_of(register, CLIENT.uid)
        assert list(problems(register)) == []


def test_a_server_that_follows_another_gives_a_register_to_be_read(server: PostgresServer, tmp_path: Path) -> None:
    there = server.new_place(tmp_path / "there")
    with build_register(there) as register:
        following = PostgresServer(follows=server)
        try:
            own_schema = there.address.partition("search_path%3D")[2]
            with open_register(
                ServerPlace(following.address(own_schema), tmp_path / "follows"), create=False
            ) as follower:
                assert all_of(follower) == all_of(register)
                assert follower.read_only == "the server only gives it to be read"
                with pytest.raises(RegisterUnusable, match="open to read only"), follower.change("Sam"):
                    raise AssertionError
                (unproven,) = problems(follower)
                assert "on the one that it follows" in unproven.sentence
                assert not follower.engine.others_saved()
                with register.change("Sam") as change:
                    change.put(replace(CLIENT, name="Other"))
                until = monotonic() + 20
                while not follower.engine.others_saved():
                    assert monotonic() < until
                    sleep(0.05)
                assert follower.get(Client, CLIENT.uid).name == "Other"
        finally:
            following.remove()


def test_words_are_letters_and_figures_without_accents() -> None:
    assert words_of("Öre 100% KL-017 Ω [red]") == ["ore", "100", "kl", "017", "ω", "red"]
    assert searched_words("KL-017", "", "Café") == "kl 017 | cafe"


def test_no_address_is_taken_for_a_place(tmp_path: Path) -> None:
    with pytest.raises(InputRefused, match="no address"):
        open_register(ServerPlace("postgresql://host:port:more/x?nonsense=1", tmp_path / "x"))
    with pytest.raises(InputRefused, match="pgpass") as refused:
        open_register(ServerPlace("postgresql://host/x?password=hush", tmp_path / "x"))
    assert "hush" not in str(refused.value)
    with pytest.raises(InputRefused, match="pgpass"):
        open_register(ServerPlace("postgresql://host/x?sslpassword=hush", tmp_path / "x"))


def test_what_is_refused_among_many_is_told_by_its_sentence_alone(
    there: ServerPlace, caplog: pytest.LogCaptureFixture
) -> None:
    with build_register(there) as register:
        new = [item(register, SITE, f"N-{at}") for at in range(400)]
        with register.change("Sam") as change:
            change.put_many(new)
        before = all_of(register)
        more = [item(register, SITE, f"M-{at}") for at in range(45)]
        for records in (more, *(new,) * 4):
            refused = [replace(each, location=Uid("gone")) for each in records]
            with (
                pytest.raises(InputRefused, match="belongs to one that is not there"),
                register.change("Sam") as change,
            ):
                change.put_many(refused)
            assert all_of(register) == before
        with register.change("Sam") as change:
            change.put(replace(CLIENT, name="First"))
            with pytest.raises(InputRefused):
                change.put_many(refused)
            change.put_many(more)
        assert (register.get(Client, CLIENT.uid).name, len(register.find(Appliance))) == ("First", 447)
        assert list(problems(register)) == []
    assert caplog.records == []


def test_what_the_driver_would_write_on_a_screen_is_kept_from_it() -> None:
    program = (
        "import logging, appreg.register.engine.server_engine; logging.getLogger('psycopg').warning('pipeline aborted')"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stderr == ""
