"""Mappings kept as TOML, and found again for tables that look alike."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from appreg.core.values.text import clean
from appreg.errors import InputRefused
from appreg.exchange.column_mapping import ColumnMapping, DateOrder, Layout, MappedColumn
from appreg.exchange.import_fields import ImportKind
from appreg.exchange.mapped_rows import mapped_rows
from appreg.exchange.mapping_file import mapping_for, mapping_text, read_mapping, read_mapping_file
from appreg.exchange.mapping_guess import guess_mapping
from appreg.exchange.source_file import read_source

SOURCES = Path(__file__).with_name("sources")
WHOLE = ColumnMapping(
    kind=ImportKind.RESULTS,
    name="bench download [red]",
    layout=Layout.LONG,
    sheet="=1+1",
    encoding="cp1252",
    delimiter="\t",
    quote='"',
    lines_before=2,
    head_lines=2,
    skip=("sum of",),
    date_order=DateOrder.MONTH_FIRST,
    decimal=",",
    over_range=("+++",),
    blanks=("?",),
    columns=(
        MappedColumn(head="Łódź – Ελλάδα", position=1, field="tag", reason="its head"),
        MappedColumn(head='a "b" \\ c\x7f', position=2, field="verdict", values={"schön": "ok", "=x": "bad"}),
        MappedColumn(head="", position=3, field="date", date_order=DateOrder.YEAR_FIRST),
        MappedColumn(head="T", position=4, field="conductor_celsius", unit="°C", decimal="."),
        MappedColumn(head="x", position=5),
    ),
    constants={"person": "Ida", "kind": "combined"},
    tests={"Bond 25A": "earth-continuity"},
)


def test_a_mapping_is_read_as_it_was_written(tmp_path: Path) -> None:
    assert read_mapping(mapping_text(WHOLE), "m.toml") == WHOLE
    file = tmp_path / "m.toml"
    file.write_text(mapping_text(WHOLE), encoding="utf-8")
    assert read_mapping_file(file) == WHOLE


@settings(max_examples=25)
@given(
    head=st.text(st.characters(codec="utf-8"), max_size=60),
    word=st.text(st.characters(codec="utf-8"), max_size=60),
    name=st.text(st.characters(codec="utf-8"), max_size=60),
)
def test_whatever_stands_in_a_head_or_a_cell_is_written_and_read(head: str, word: str, name: str) -> None:
    try:
        kept = clean(name, field="name")
    except InputRefused:
        kept = ""
    column = MappedColumn(head=head, position=1, field="name", values={word: "Kettle"})
    mapping = ColumnMapping(kind=ImportKind.ITEMS, name=kept, columns=(column,))
    assert read_mapping(mapping_text(mapping), "m.toml") == mapping


@pytest.mark.parametrize("source", sorted(SOURCES.iterdir()), ids=lambda path: path.name[:2])
def test_a_kept_mapping_is_found_for_its_own_table_and_for_no_other(source: Path) -> None:
    kept = [replace(guess_mapping(read_source(each)), name=each.name) for each in sorted(SOURCES.iterdir())]
    found = mapping_for(read_source(source), kept)
    assert found is not None
    assert found.name == source.name
    assert mapping_for(read_source(source), [each for each in kept if each.name != source.name]) is None


def test_a_table_with_another_line_above_and_its_columns_in_another_order_looks_alike(tmp_path: Path) -> None:
    before, after = tmp_path / "before.csv", tmp_path / "after.csv"
    before.write_text("Tag,Name,Make,Room\nA1,Kettle,Ulmick,Hall\n", encoding="utf-8")
    after.write_text("Mill Road;;;\nMake;Tag;Room;Name\nQuenlo;A2;Lab;Lamp\n", encoding="utf-8")
    mapping = guess_mapping(read_source(before))
    source = read_source(after)
    found = mapping_for(source, [mapping])
    assert found is not None
    assert [row.values for row in mapped_rows(source, found)] == [
        {"tag": "A2", "name": "Lamp", "make": "Quenlo", "location": "Lab"}
    ]


@pytest.mark.parametrize(
    ("was", "becomes", "sentence"),
    [
        ('kind = "results"', 'kind = "songs"', "line 3, kind: must be one of items"),
        ('kind = "results"', 'kinds = "results"', "kinds: is not known"),
        ("version = 1", "version = 2", "this program reads version 1"),
        ('field = "tag"', 'field = "colour"', "“colour” is no field"),
        ('field = "tag"', 'field = "date"', "is filled by another column too"),
        ('unit = "°C"', 'unit = "km"', "“km” is no unit of conductor temperature"),
        ('"=x" = "bad"', '"=x" = "fine"', "“fine” is not known as verdict"),
        ('"Bond 25A" = "earth-continuity"', '"Bond 25A" = "smell"', "must be one of"),
        ("position = 3", "position = 0", "must be a whole number from 1"),
        ('decimal = ","', 'decimal = ";"', "must be a point or a comma"),
        ('encoding = "cp1252"', 'encoding = "base64"', "is no encoding of text"),
        ('delimiter = "\\t"', 'delimiter = "ab"', "must be one character"),
        ('skip = ["sum of"]', "skip = 3", "must be a list of words"),
        ('"kind" = "combined"', '"kind" = "later"', "“later” is not known as kind"),
        ("[[column]]", "[column]", "m.toml"),
    ],
)
def test_what_cannot_be_is_refused_with_its_place(was: str, becomes: str, sentence: str) -> None:
    text = mapping_text(WHOLE)
    assert was in text
    with pytest.raises(InputRefused) as refused:
        read_mapping(text.replace(was, becomes, 1), "m.toml")
    assert sentence in str(refused.value)
    assert str(refused.value).endswith(".")
