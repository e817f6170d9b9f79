from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum
from types import UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import fields

from appreg.core.records.kept_records import Appliance, Category, Client
from appreg.errors import InputRefused, RegisterUnusable
from appreg.register.schema.record_codec import codec_of
from appreg.register.schema.record_kinds import KINDS
from tests.register.sample_register import CATEGORY, CLIENT, EVERYTHING, LEAD

_TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
_STRATEGIES: dict[Any, st.SearchStrategy[Any]] = {
    str: _TEXT,
    int: st.integers(-(2**63), 2**63 - 1),
    bool: st.booleans(),
    date: st.dates(),
    Decimal: st.decimals(allow_nan=False, allow_infinity=False, min_value=-(10**20), max_value=10**20, places=6),
}


def _strategy(hint: Any) -> st.SearchStrategy[Any]:
    if get_origin(hint) in {UnionType, Union}:
        return st.one_of([st.none() if part is type(None) else _strategy(part) for part in get_args(hint)])
    hint = getattr(hint, "__supertype__", hint)
    if get_origin(hint) is tuple:
        return st.lists(_TEXT, max_size=3).map(tuple)
    if issubclass(hint, StrEnum):
        return st.sampled_from(list(hint))
    return _STRATEGIES[hint]


def _records(kind: type[Any]) -> st.SearchStrategy[Any]:
    hints = get_type_hints(kind)
    return st.fixed_dictionaries({field.name: _strategy(hints[field.name]) for field in fields(kind)}).map(
        lambda values: kind(**values)
    )


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
@settings(max_examples=30)
@given(data=st.data())
def test_a_record_written_and_read_is_the_same_record(kind: type[Any], data: st.DataObject) -> None:
    record = data.draw(_records(kind))
    codec: Any = codec_of(kind)
    cells = codec.encode(record)
    assert all(cell is None or type(cell) in {str, int} for cell in cells)
    read = codec.decode(cells)
    assert read == record
    assert codec.encode(read) == cells
    for field in fields(record):
        assert type(getattr(read, field.name)) is type(getattr(record, field.name))


@given(st.decimals(allow_nan=False, allow_infinity=False, min_value=-(10**25), max_value=10**25))
def test_a_decimal_keeps_every_digit_it_was_given(value: Decimal) -> None:
    codec = codec_of(Category)
    try:
        cell = codec.encode_value("fuse_a", value)
    except InputRefused:
        assert value.adjusted() < -5 or len(value.as_tuple().digits) > 25 or abs(int(value.as_tuple().exponent)) > 25
        return
    assert isinstance(cell, str)
    assert Decimal(cell) == value
    assert set(cell) <= set("0123456789.-")


@pytest.mark.parametrize(
    ("widest", "beyond"), [("1E+30", "1E+31"), ("9.9E+30", "1.0E+31"), ("1E-30", "1E-31"), ("-1E+30", "-1E+31")]
)
def test_a_decimal_is_kept_up_to_the_edge_of_its_span_and_no_farther(widest: str, beyond: str) -> None:
    codec = codec_of(Category)
    cell = codec.encode_value("fuse_a", Decimal(widest))
    assert codec.decode_value("fuse_a", cell) == Decimal(widest)
    with pytest.raises(InputRefused, match="out of all proportion"):
        codec.encode_value("fuse_a", Decimal(beyond))


@pytest.mark.parametrize(
    ("field", "value", "word"),
    [
        ("name", "half \ud800", "name"),
        ("fuse_a", Decimal("NaN"), "fuse_a"),
        ("fuse_a", Decimal("1E+99"), "fuse_a"),
        ("fuse_a", Decimal("Infinity"), "fuse_a"),
        ("power_w", 2**63, "power_w"),
    ],
)
def test_a_value_that_cannot_be_kept_is_refused_by_its_field(field: str, value: object, word: str) -> None:
    record = CATEGORY
    values = {name: getattr(record, name) for name in codec_of(Category).names} | {field: value}
    with pytest.raises(InputRefused, match=word):
        codec_of(Category).encode(Category(**values))


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("name", 5),
        ("fuse_a", 13.0),
        ("fuse_a", 13),
        ("power_w", True),
        ("power_w", "2200"),
        ("heating", 1),
        ("appliance_class", "1"),
        ("visual_items", ["plug"]),
        ("visual_items", (1,)),
    ],
)
def test_a_value_of_another_type_never_reaches_a_column(field: str, value: object) -> None:
    values = {name: getattr(CATEGORY, name) for name in codec_of(Category).names} | {field: value}
    with pytest.raises(TypeError):
        codec_of(Category).encode(Category(**values))


def test_a_time_of_day_is_not_a_date() -> None:
    with pytest.raises(TypeError):
        codec_of(Appliance).encode_value("last_date", datetime(2026, 1, 1))  # noqa: DTZ001


def test_a_cell_that_no_version_writes_is_named_with_its_column() -> None:
    codec = codec_of(Appliance)
    cells = list(codec.encode(LEAD))
    cells[codec.names.index("state")] = "on fire"
    with pytest.raises(RegisterUnusable, match=r"state holds “on fire”"):
        codec.decode(cells)


def test_every_sample_record_survives() -> None:
    for record in EVERYTHING:
        codec: Any = codec_of(type(record))
        assert codec.decode(codec.encode(record)) == record


def test_exact_text_is_what_stands_in_the_cell() -> None:
    assert codec_of(Client).encode(CLIENT)[1] == "Harbour Row Lettings [red]"
    cells = dict(zip(codec_of(Category).names, codec_of(Category).encode(CATEGORY), strict=True))
    assert cells["cord_csa_mm2"] == "0.75"
    assert cells["visual_items"] == '["plug","cord"]'
    assert cells["heating"] == 1
    assert cells["appliance_class"] == "1"
