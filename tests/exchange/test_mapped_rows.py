"""Lines of tables from elsewhere, as a person would type them into our own fields."""

from pathlib import Path

import pytest

from appreg.errors import InputRefused
from appreg.exchange.column_mapping import ColumnMapping, DateOrder, Layout, MappedColumn, MappingProblem
from appreg.exchange.import_fields import ImportKind
from appreg.exchange.mapped_row import MappedRow
from appreg.exchange.mapped_rows import mapped_rows
from appreg.exchange.source_file import read_source
from appreg.exchange.source_rows import SourceRow


def columns(**fields: str) -> tuple[MappedColumn, ...]:
    return tuple(
        MappedColumn(head=head, position=at, field=field) for at, (head, field) in enumerate(fields.items(), 1)
    )


def rows_of(folder: Path, text: str, mapping: ColumnMapping) -> list[MappedRow]:
    file = folder / "table.csv"
    file.write_text(text, encoding="utf-8")
    return list(mapped_rows(read_source(file), mapping))


def test_cells_come_as_our_own_fields_take_them(tmp_path: Path) -> None:
    text = "Nr;Datum;RPE;RISO;Bem;Res\nA1;24.11.2025;0,08;>299;'=1+1;ok\nA2;24/11/2025;85 mΩ;0,5 GΩ;[red];n/a\n"
    mapping = ColumnMapping(
        kind=ImportKind.RESULTS,
        decimal=",",
        date_order=DateOrder.DAY_FIRST,
        columns=columns(
            Nr="tag", Datum="date", RPE="earth-continuity", RISO="insulation", Bem="remarks", Res="outcome"
        ),
    )
    first, second = rows_of(tmp_path, text, mapping)
    assert first.values == {
        "tag": "A1", "date": "2025-11-24", "earth-continuity": "0.08", "insulation": ">299", "remarks": "=1+1", "outcome": "pass",
    }  # fmt: skip
    assert second.values == {
        "tag": "A2", "date": "2025-11-24", "earth-continuity": "0.085", "insulation": "500", "remarks": "[red]",
    }  # fmt: skip
    assert (first.line, second.line) == (2, 3)
    assert not first.problems
    assert not second.problems


def test_a_cell_that_cannot_be_read_is_a_problem_with_line_and_column_and_no_value(tmp_path: Path) -> None:
    mapping = ColumnMapping(
        kind=ImportKind.RESULTS, columns=columns(Tag="tag", Date="date", Earth="earth-continuity", Result="outcome")
    )
    (row,) = rows_of(tmp_path, "Tag,Date,Earth,Result\nA1,3/4/2025,0.x8,maybe\n", mapping)
    assert row.values == {"tag": "A1"}
    assert [(each.line, each.column) for each in row.problems] == [(2, "Date"), (2, "Earth"), (2, "Result")]
    assert "say in the mapping in which order" in row.problems[0].sentence


def test_sums_and_heads_that_stand_again_are_passed_over_and_told(tmp_path: Path) -> None:
    file = tmp_path / "table.csv"
    file.write_text("Tag,Name,Make\nA1,Total station,Ulmick\nTag,Name,Make\nTotal,2,\n", encoding="utf-8")
    mapping = ColumnMapping(kind=ImportKind.ITEMS, columns=columns(Tag="tag", Name="name", Make="make"))
    passed: list[SourceRow] = []
    rows = list(mapped_rows(read_source(file), mapping, passed.append))
    assert [row.values["tag"] for row in rows] == ["A1"]
    assert [row.line for row in passed] == [3, 4]


def test_lines_of_one_test_each_become_one_of_the_item_and_day(tmp_path: Path) -> None:
    text = (
        "Asset,When,Test,Value,Unit,Res\nA1,2025-11-24,Visual,,,Pass\nA1,2025-11-24,Earth bond,85,mOhm,Fail\n"
        "A1,2025-11-24,Earth bond,0.08,V,Pass\nA1,2025-11-24,IR,>299,MOhm,Pass\nA2,2025-11-24,Visual,,,Pass\n"
        "A1,2025-11-24,IR,0.4,MOhm,Pass\n"
    )
    mapping = ColumnMapping(
        kind=ImportKind.RESULTS,
        layout=Layout.LONG,
        columns=columns(Asset="tag", When="date", Test="test", Value="reading", Unit="unit", Res="verdict"),
    )
    first, second, again = rows_of(tmp_path, text, mapping)
    assert first.values["visual"] == "ok"
    assert first.values["insulation"] == ">299"
    assert first.values["outcome"] == "fail"
    assert [each.column for each in first.problems] == ["Test"]
    assert first.values["earth-continuity"] == "0.085"
    assert second.values == {"tag": "A2", "date": "2025-11-24", "visual": "ok", "outcome": "pass"}
    assert again.problems[0].todo.startswith("sort the table")


def test_a_mapping_that_is_not_finished_reads_nothing(tmp_path: Path) -> None:
    problem = MappingProblem(column="Date", what="day or month may stand first", todo="say which")
    mapping = ColumnMapping(kind=ImportKind.ITEMS, columns=columns(Tag="tag"), problems=(problem,))
    with pytest.raises(InputRefused, match="Date: day or month may stand first; say which"):
        rows_of(tmp_path, "Tag\nA1\n", mapping)


def test_a_table_without_a_column_of_the_mapping_is_refused(tmp_path: Path) -> None:
    mapping = ColumnMapping(kind=ImportKind.ITEMS, columns=columns(Tag="tag", Make="make"))
    with pytest.raises(InputRefused, match="has no column “Make”"):
        rows_of(tmp_path, "Tag,Name\nA1,Kettle\n", mapping)


def test_a_constant_fills_empty_cells_and_never_stands_for_one_that_cannot_be_read(tmp_path: Path) -> None:
    mapping = ColumnMapping(
        kind=ImportKind.RESULTS,
        columns=columns(Tag="tag", Date="date", Result="outcome"),
        constants={"date": "2025-11-24", "outcome": "pass", "person": "Ida"},
    )
    empty, unreadable = rows_of(tmp_path, "Tag,Date,Result\nA1,,\nA2,soon,perhaps\n", mapping)
    assert empty.values == {"tag": "A1", "date": "2025-11-24", "outcome": "pass", "person": "Ida"}
    assert not empty.problems
    assert unreadable.values == {"tag": "A2", "person": "Ida"}
    assert [each.column for each in unreadable.problems] == ["Date", "Result"]


def test_thousands_units_and_signs_are_read_exactly_and_nothing_is_read_of_what_is_none(tmp_path: Path) -> None:
    mapping = ColumnMapping(
        kind=ImportKind.RESULTS,
        columns=(
            *columns(Tag="tag", Date="date", Ohm="earth-continuity", Volt="insulation_volts"),
            MappedColumn(head="Meg", position=4, field="insulation", decimal="."),
        ),
    )
    text = (
        'Tag,Date,Ohm,Meg,Volt\nA1,2025-11-24,0.08/0.09,"1,250",500 V DC\nA2,2025-11-24,<0.01,> 999 MΩ,0.5 kV\n'
        "A3,2025-11-24,-0.08,0.5 mA,499.5\nA4,2025-11-24,+++,∞,n/a\nA5,2025-11-24,1e-3,12 34,\n"
    )
    rows = rows_of(tmp_path, text, mapping)
    read = [
        {name: row.values.get(name) for name in ("earth-continuity", "insulation", "insulation_volts")} for row in rows
    ]
    assert list(read[0].values()) == ["0.08/0.09", "1250", "500"]
    assert list(read[1].values()) == ["<0.01", ">999", "500"]
    assert list(read[2].values()) == [None, None, None]
    assert len(rows[2].problems) == 3
    assert list(read[3].values()) == ["OL", "OL", None]
    assert list(read[4].values()) == [None, None, None]
    assert [each.column for each in rows[4].problems] == ["Ohm", "Meg"]


def test_a_sentence_beside_one_of_our_own_lists_is_no_line_of_it(tmp_path: Path) -> None:
    text = "tag,name,said\nA1,Kettle,\n,,Two items are left out.\n,Lamp,\n"
    mapping = ColumnMapping(kind=ImportKind.ITEMS, columns=columns(tag="tag", name="name"))
    assert [row.line for row in rows_of(tmp_path, text, mapping)] == [2, 4]
    assert [row.line for row in rows_of(tmp_path, text.replace("said", "remark"), mapping)] == [2, 3, 4]
