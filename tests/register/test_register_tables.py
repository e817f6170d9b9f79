import re
import sqlite3
from contextlib import closing
from datetime import date
from decimal import Decimal
from enum import StrEnum
from pathlib import Path
from types import UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints

import pytest
from msgspec import Struct
from msgspec.structs import fields, replace
from peewee import IntegerField

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Record
from appreg.core.values.uids import Uid
from appreg.register.engine.dialect import SQLITE
from appreg.register.schema.record_kinds import KINDS, Kind
from appreg.register.schema.tables import alteration, file_database, insertion, model_of
from tests.register.refused_statements import REFUSED
from tests.register.sample_register import EVERYTHING, build_register

_SAMPLES: dict[type[Any], Record] = {type(record): record for record in EVERYTHING}


def test_every_kind_of_record_has_a_table() -> None:
    assert set(KINDS) == set(get_args(Record))
    assert set(_SAMPLES) == set(KINDS)


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda kind: kind.table)
def test_columns_of_table_and_model_are_the_fields_of_the_record(kind: Kind[Any], tmp_path: Path) -> None:
    names = [field.name for field in fields(kind.record)]
    with build_register(tmp_path / "r.appreg") as register:
        columns = [row[1] for row in register.rows(f'PRAGMA table_info("{kind.table}")')]
    assert sorted(columns) == sorted(
        [*names, *SQLITE.derived.get(kind.table, {}), *(["ordinal"] if kind.table == "appliance" else [])]
    )
    assert [column for column in columns if column in names] == names
    assert list(model_of(kind, SQLITE)._meta.fields) == [*names, *SQLITE.derived.get(kind.table, {})]
    assert model_of(kind, SQLITE)._meta.table_name == kind.table


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda kind: kind.table)
def test_each_mark_of_a_statement_stands_for_the_column_that_is_written_there(kind: Kind[Any], tmp_path: Path) -> None:
    model = model_of(kind, SQLITE)
    names = tuple(reversed(kind.codec.names))
    others = tuple(name for name in names if name != "uid")
    with closing(sqlite3.connect(tmp_path / "r.sqlite")) as connection:
        database = file_database(tmp_path / "r.sqlite", connection)
        inserting = insertion(database, model, names)
        altering = alteration(database, model, others)
    assert inserting.words.count("?") == len(names)
    assert re.findall(r'"(\w+)"', inserting.words.partition("(")[2]) == list(inserting.marked)
    assert re.findall(r'"(\w+)" = \?', altering.words) == list(altering.marked)
    assert sorted(altering.marked) == sorted(names)


class _Supposed(Struct, frozen=True, kw_only=True):
    """A kind of record that no migration knows, as it would be with fields of every form."""

    uid: Uid
    name: str
    state: ServiceState = ServiceState.MISSING
    length_m: Decimal | None = None
    bought: date | None = None
    phases: int = 3
    tinned: bool = False
    parts: tuple[str, ...] = ("plug",)


def test_the_class_of_a_record_is_the_one_place_where_its_fields_stand() -> None:
    kind: Kind[Any] = Kind(_Supposed, "supposed")
    record = _Supposed(uid=Uid("0" * 26), name="Lamp", length_m=Decimal("1.50"), bought=date(2026, 11, 24))
    cells = kind.codec.encode(record)
    assert kind.codec.decode(cells) == record
    assert kind.codec.canonical(cells) == (
        '{"bought":"2026-11-24","length_m":"1.50","name":"Lamp","parts":"[\\"plug\\"]","phases":3,"state":"missing",'
        '"tinned":0}'
    )
    assert kind.added == {"state": "missing", "phases": 3, "tinned": 0, "parts": '["plug"]'}
    columns = model_of(kind, SQLITE)._meta.fields
    assert {name: column.null for name, column in columns.items() if column.null} == {"length_m": True, "bought": True}
    assert {name for name, column in columns.items() if isinstance(column, IntegerField)} == {"phases", "tinned"}
    assert model_of(kind, SQLITE)._meta.primary_key.name == "uid"


def _members(hint: Any) -> list[StrEnum]:
    if get_origin(hint) in {UnionType, Union}:
        return [member for part in get_args(hint) for member in _members(part)]
    return list(hint) if isinstance(hint, type) and issubclass(hint, StrEnum) else []


def _setting(kind: Kind[Any], name: str) -> str:
    return f'UPDATE "{kind.table}" SET "{name}" = ?'


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda kind: kind.table)
def test_a_closed_set_takes_each_member_and_nothing_else(kind: Kind[Any], tmp_path: Path) -> None:
    path = tmp_path / "r.appreg"
    build_register(path).close()
    sample: Any = _SAMPLES[kind.record]
    raw = sqlite3.connect(path)
    for trigger in raw.execute(
        "SELECT name FROM sqlite_master WHERE type = 'trigger' AND name GLOB '*_no_*'"
    ).fetchall():
        raw.execute(f"DROP TRIGGER {trigger[0]}")
    for name, hint in get_type_hints(kind.record).items():
        for member in _members(hint):
            assert kind.codec.encode(replace(sample, **{name: member}))
            raw.execute(_setting(kind, name), (member.value,))
        if _members(hint):
            with pytest.raises(sqlite3.IntegrityError):
                raw.execute(_setting(kind, name), ("nonsense",))
    raw.close()


@pytest.mark.parametrize("statement", REFUSED)
def test_the_database_itself_refuses(statement: str, tmp_path: Path) -> None:
    path = tmp_path / "r.appreg"
    build_register(path).close()
    raw = sqlite3.connect(path)
    raw.execute("PRAGMA foreign_keys = ON")
    raw.execute("PRAGMA recursive_triggers = ON")
    with pytest.raises(sqlite3.IntegrityError):
        raw.execute(statement)
    raw.close()
