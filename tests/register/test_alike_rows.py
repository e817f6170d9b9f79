from collections.abc import Iterator, Sequence
from decimal import Decimal
from itertools import groupby
from typing import Any

import pytest
from msgspec.structs import fields, replace

from appreg.core.records.kept_records import Appliance, AssetTag
from appreg.errors import InputRefused
from appreg.register.schema.alike_rows import AlikeRows
from appreg.register.schema.record_codec import codec_of
from tests.hostile_names import HOSTILE_NAMES
from tests.register.sample_register import EVERYTHING, KETTLE, LEAD


def _one_after_the_other(records: Sequence[Any]) -> None:
    codec = codec_of(type(records[0]))
    rows = AlikeRows(codec)
    for record in records:
        cells = rows.encode(record)
        assert cells == codec.encode(record)
        assert list(map(type, cells)) == list(map(type, codec.encode(record)))
        assert rows.canonical() == codec.canonical(cells)


def _each_field_of(item: Appliance, other: Appliance) -> Iterator[Appliance]:
    for field in fields(item):
        yield replace(item, **{field.name: getattr(other, field.name)})
        yield item


def test_records_one_after_the_other_are_encoded_as_each_for_itself() -> None:
    for _, records in groupby(sorted(EVERYTHING, key=lambda each: type(each).__name__), key=type):
        _one_after_the_other(list(records) * 2)
    _one_after_the_other([*_each_field_of(KETTLE, LEAD), *_each_field_of(LEAD, KETTLE)])


def test_texts_and_figures_that_are_equal_but_not_the_same_are_told_apart() -> None:
    figures = [Decimal("1.0"), Decimal(1), Decimal("1.00"), None, Decimal(1)]
    _one_after_the_other([replace(KETTLE, cord_csa_mm2=figure) for figure in figures])
    _one_after_the_other([replace(KETTLE, name=name, notes=name[::-1]) for name in HOSTILE_NAMES])


def test_what_is_refused_leaves_nothing_of_itself_in_the_next_row() -> None:
    rows = AlikeRows(codec_of(Appliance))
    rows.encode(KETTLE)
    with pytest.raises(InputRefused, match="name holds half a character"):
        rows.encode(replace(LEAD, tag=AssetTag("KL-9"), name="\ud800"))
    assert rows.encode(KETTLE) == codec_of(Appliance).encode(KETTLE)
    assert rows.canonical() == codec_of(Appliance).canonical(codec_of(Appliance).encode(KETTLE))
