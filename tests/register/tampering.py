"""Registers altered behind the program's back, as somebody with SQLite at hand would, all guards off and put back after."""

import json
import re
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from hashlib import sha256
from pathlib import Path
from random import Random
from typing import Any, Final

from msgspec.structs import replace

from appreg.core.records.kept_records import Appliance, Client, Location, Site
from appreg.errors import RegisterUnusable
from appreg.register.checking.checking import FollowedChain, Problem, problems
from appreg.register.opening.register_file import Register, open_register
from tests.register.sample_register import item, small_estate, ticking_clock

Alter = Callable[[sqlite3.Connection], object]
SHADOWS: Final = ("appliance_text_data", "appliance_text_idx", "appliance_text_docsize", "appliance_text_config")
DRAFTS: Final = "bench_draft"
"""What is typed and not yet saved: no evidence, so the journal does not tell it."""
_ROWID: Final = re.compile(r"INTEGER(?: NOT NULL)? PRIMARY KEY")
_GUARDS: Final = re.compile(r" STRICT$|\bNOT NULL\b|\bTEXT\b|\bINTEGER\b")


class Tampering:
    """An untouched register, copied for each alteration and checked after it."""

    def __init__(self, untouched: Path, folder: Path, *, any_type: bool = False) -> None:
        """Take the guards off once; with `any_type` also what the tables say of types, so that any cell takes any value."""
        self._open = folder / "unguarded.appreg"
        self.last = folder / "altered.appreg"
        """The copy that was altered last."""
        shutil.copy(untouched, self._open)
        with closing(_raw(self._open)) as raw:
            self._guards = [sql for (sql,) in raw.execute("SELECT sql FROM sqlite_master WHERE type = 'trigger'")]
            self._tables = dict(raw.execute("SELECT name, sql FROM sqlite_master WHERE type = 'table'").fetchall())
            raw.execute("BEGIN")
            for (name,) in raw.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
                raw.execute(f"DROP TRIGGER {name}")
            if any_type:
                _write_schema(raw, {name: _loosened(sql) for name, sql in self._tables.items()})
            raw.execute("COMMIT")
        self._any_type = any_type

    def altered(self, alter: Alter) -> Path:
        """A copy, altered, with the guards put back."""
        shutil.copy(self._open, self.last)
        with closing(_raw(self.last)) as raw:
            raw.execute("BEGIN")
            alter(raw)
            for sql in self._guards:
                raw.execute(sql)
            if self._any_type:
                _write_schema(raw, self._tables)
            raw.execute("COMMIT")
        return self.last

    def found(self, alter: Alter) -> list[Problem]:
        """What the check finds wrong in an altered copy."""
        return found_in(self.altered(alter))


def found_in(path: Path, followed: FollowedChain | None = None) -> list[Problem]:
    """What opening and checking say of a file."""
    try:
        with open_register(path, create=False) as register:
            return list(problems(register, followed=followed))
    except RegisterUnusable as refusal:
        return [Problem(table="(file)", sentence=str(refusal))]


def tables_of(raw: sqlite3.Connection) -> list[str]:
    """The tables but those of SQLite and of its search index."""
    listed = raw.execute("SELECT name FROM sqlite_master WHERE type = 'table' AND sql NOT LIKE 'CREATE VIRTUAL%'")
    return [name for (name,) in listed if not name.startswith(("sqlite_", *SHADOWS))]


def cells_of(path: Path) -> Iterator[tuple[str, int, str]]:
    """Every cell: table, rowid, column."""
    with closing(sqlite3.connect(path)) as raw:
        for table in tables_of(raw):
            columns = [row[1] for row in raw.execute(f'PRAGMA table_info("{table}")')]
            for (rowid,) in raw.execute(f'SELECT rowid FROM "{table}"').fetchall():
                yield from ((table, rowid, column) for column in columns)


def other_than(value: object) -> object:
    """Another value of the same kind."""
    if value is None:
        return "2026-01-01"
    return value + 1000 if isinstance(value, int) else f"{value}x"


def alter_cell(table: str, rowid: int, column: str) -> Alter:
    """Put another value of the same kind into a cell."""

    def alter(raw: sqlite3.Connection) -> None:
        ((value,),) = raw.execute(f'SELECT "{column}" FROM "{table}" WHERE rowid = ?', (rowid,)).fetchall()
        try:
            raw.execute(f'UPDATE "{table}" SET "{column}" = ? WHERE rowid = ?', (other_than(value), rowid))
        except sqlite3.IntegrityError:
            raw.execute(f'UPDATE "{table}" SET "{column}" = ? WHERE rowid = ?', (7, rowid))

    return alter


def cut_tail(lines: int, *, with_note: bool) -> Alter:
    """Take the last lines of the journal away, and with `with_note` write the register's note of its end anew."""

    def alter(raw: sqlite3.Connection) -> None:
        raw.execute("DELETE FROM journal WHERE sequence > (SELECT max(sequence) FROM journal) - ?", (lines,))
        if with_note:
            raw.execute(
                "UPDATE register_meta SET value = (SELECT sequence || ' ' || hash FROM journal ORDER BY sequence DESC "
                "LIMIT 1) WHERE key GLOB 'head:*'"
            )

    return alter


def swap_lines(one: int, other: int) -> Alter:
    """Let two lines of the journal change places."""

    def alter(raw: sqlite3.Connection) -> None:
        for was, becomes in ((one, -1), (other, one), (-1, other)):
            raw.execute("UPDATE journal SET sequence = ? WHERE sequence = ?", (becomes, was))

    return alter


def swap_rows(table: str, one: int, other: int) -> Alter:
    """Let two rows of a table change all but their keys."""

    def alter(raw: sqlite3.Connection) -> None:
        columns = [
            row[1] for row in raw.execute(f'PRAGMA table_info("{table}")') if row[1] not in {"uid", "ordinal", "tag"}
        ]
        listed = ", ".join(f'"{name}"' for name in columns)
        setting = ", ".join(f'"{name}" = ?' for name in columns)
        rows = [
            raw.execute(f'SELECT {listed} FROM "{table}" WHERE rowid = ?', (each,)).fetchone() for each in (one, other)
        ]
        for rowid, cells in ((one, rows[1]), (other, rows[0])):
            raw.execute(f'UPDATE "{table}" SET {setting} WHERE rowid = ?', (*cells, rowid))

    return alter


def rechain(raw: sqlite3.Connection) -> None:
    """Work out every hash anew, and the note of the last: as DEVELOPERS.md describes them, by the standard library alone."""
    cursor = raw.execute("SELECT * FROM journal ORDER BY origin, sequence")
    names = [each[0] for each in cursor.description]
    previous: dict[str, str] = {}
    for row in cursor.fetchall():
        line = dict(zip(names, row, strict=True))
        line["previous_hash"] = previous.get(line["origin"], "0" * 64)
        del line["hash"]
        text = json.dumps(line, ensure_ascii=False, separators=(",", ":"), sort_keys=True)
        previous[line["origin"]] = sha256(text.encode()).hexdigest()
        raw.execute(
            "UPDATE journal SET previous_hash = ?, hash = ? WHERE origin = ? AND sequence = ?",
            (line["previous_hash"], previous[line["origin"]], line["origin"], line["sequence"]),
        )
        raw.execute(
            "UPDATE register_meta SET value = ? WHERE key = ?",
            (f"{line['sequence']} {previous[line['origin']]}", f"head:{line['origin']}"),
        )


def forge_name(uid: str, name: str) -> Alter:
    """Have an item bear another name and always have borne it, in table and journal alike, every hash worked out anew."""

    def alter(raw: sqlite3.Connection) -> None:
        raw.execute("UPDATE appliance SET name = ? WHERE uid = ?", (name, uid))
        raw.execute("INSERT INTO appliance_text (appliance_text) VALUES ('rebuild')")
        for sequence, *sides in raw.execute(
            'SELECT sequence, "before", "after" FROM journal WHERE uid = ?', (uid,)
        ).fetchall():
            forged = [_with_name(side, name) for side in sides]
            raw.execute('UPDATE journal SET "before" = ?, "after" = ? WHERE sequence = ?', (*forged, sequence))
        rechain(raw)

    return alter


def random_site(path: Path, seed: int) -> Register:
    """A small site with items that came, changed and went; what SQLite keeps of it is in the one file."""
    chance = Random(seed)
    register = open_register(path, clock=ticking_clock(), entropy=chance.getrandbits)
    register.connection.execute("PRAGMA synchronous = OFF")
    (site,) = small_estate(register)
    for number in range(chance.randrange(2, 7)):
        _change(
            register, item(register, site, f"S0-{number:03}", name=chance.choice(("Kettle", "Drill", "[red]", "=1")))
        )
    for _ in range(chance.randrange(1, 8)):
        _alter_something(register, chance)
    register.rows("PRAGMA wal_checkpoint(TRUNCATE)")
    return register


def _alter_something(register: Register, chance: Random) -> None:
    kind: Any = chance.choice((Client, Site, Location, Appliance, Appliance))
    record = chance.choice(register.find(kind))
    if kind is Appliance and chance.random() < 0.2 and len(register.find(kind)) > 2:
        with register.change("Ann") as change:
            change.remove(record)
    else:
        _change(register, replace(record, name=f"{record.name} {chance.randrange(1000)}"))


def _change(register: Register, record: Any) -> None:
    with register.change("Sam", "a change") as change:
        change.put(record)


def _with_name(side: str | None, name: str) -> str | None:
    fields = json.loads(side or "{}")
    if "name" not in fields:
        return side
    return json.dumps({**fields, "name": name}, ensure_ascii=False, separators=(",", ":"), sort_keys=True)


def _raw(path: Path) -> sqlite3.Connection:
    raw = sqlite3.connect(path, isolation_level=None)
    for pragma in ("synchronous = OFF", "ignore_check_constraints = ON", "writable_schema = ON"):
        raw.execute(f"PRAGMA {pragma}")
    return raw


def _loosened(sql: str) -> str:
    parts = _ROWID.split(sql)
    return "INTEGER PRIMARY KEY".join(_GUARDS.sub("", part) for part in parts)


def _write_schema(raw: sqlite3.Connection, tables: dict[str, str]) -> None:
    for name, sql in tables.items():
        raw.execute("UPDATE sqlite_master SET sql = ? WHERE type = 'table' AND name = ?", (sql, name))
