"""What a person says of a mapping answers what was asked, and nothing else; what the contents then leave in doubt is asked."""

from pathlib import Path

from appreg.exchange.column_mapping import Asks, ColumnMapping, DateOrder, MappedColumn
from appreg.exchange.import_fields import ImportKind
from appreg.exchange.mapped_rows import lines_as_typed, mapped_rows
from appreg.exchange.mapping_guess import guess_mapping
from appreg.exchange.mapping_told import (
    with_constant,
    with_every_column,
    with_field,
    with_heads,
    with_reading,
    with_usual,
)
from appreg.exchange.source_file import Source, read_source

DOUBTFUL = 'tag,when,insulation (mΩ),earth,calibrated\nA1,03/04/2025,2,"1,234",05/06/2025\n'


def source_of(folder: Path, text: str) -> Source:
    (folder / "table.csv").write_text(text, "utf-8")
    return read_source(folder / "table.csv")


def asked(mapping: ColumnMapping) -> list[tuple[int, Asks]]:
    return [(each.position, each.asks) for each in mapping.problems]


def results(source: Source) -> ColumnMapping:
    return guess_mapping(source, ImportKind.RESULTS)


def test_each_doubt_says_which_column_and_what_answers_it(tmp_path: Path) -> None:
    assert set(asked(with_field(source_of(tmp_path, DOUBTFUL), results(source_of(tmp_path, DOUBTFUL)), 2, "date"))) == {
        (2, Asks.DATE_ORDER),
        (3, Asks.UNIT),
        (4, Asks.DECIMAL),
    }


def test_a_column_told_to_be_days_asks_for_their_order_and_no_longer_once_it_is_not_taken(tmp_path: Path) -> None:
    source = source_of(tmp_path, DOUBTFUL)
    as_next = with_field(source, results(source), 5, "next")
    assert (5, Asks.DATE_ORDER) in asked(as_next)
    assert (5, Asks.DATE_ORDER) not in asked(with_field(source, as_next, 5, ""))


def test_an_answer_leaves_other_questions_open_even_of_columns_with_the_same_head(tmp_path: Path) -> None:
    source = source_of(tmp_path, "tag,day,day\nA1,03/04/2025,05/06/2025\n")
    mapping = with_field(source, with_field(source, results(source), 2, "date"), 3, "next")
    told = with_reading(
        mapping, 2, unit="", decimal="", date_order=DateOrder.DAY_FIRST, values={}, answers=[Asks.DATE_ORDER]
    )
    assert asked(mapping) == [(2, Asks.DATE_ORDER), (3, Asks.DATE_ORDER)]
    assert asked(told) == [(3, Asks.DATE_ORDER)]


def test_saying_nothing_answers_nothing(tmp_path: Path) -> None:
    source = source_of(tmp_path, DOUBTFUL)
    mapping = results(source)
    assert mapping.problems
    same = with_reading(mapping, 3, unit="", decimal="", date_order=None, values={}, answers=())
    assert same.problems == mapping.problems
    assert with_usual(mapping, date_order=None, decimal=mapping.decimal).problems == mapping.problems


def test_an_order_for_the_whole_table_answers_for_every_column_without_one(tmp_path: Path) -> None:
    source = source_of(tmp_path, "tag,date,next\nA1,03/04/2025,05/06/2025\n")
    mapping = with_field(source, with_field(source, results(source), 2, "date"), 3, "next")
    told = with_usual(mapping, date_order=DateOrder.MONTH_FIRST, decimal=".")
    assert not told.problems
    (row,) = mapped_rows(source, told)
    assert (row.values["date"], row.values["next"]) == ("2025-03-04", "2025-05-06")


def test_a_field_is_filled_by_one_column_only(tmp_path: Path) -> None:
    source = source_of(tmp_path, "tag,old tag\nA1,B1\n")
    mapping = guess_mapping(source, ImportKind.ITEMS)
    told = with_field(source, mapping, 2, "tag")
    assert [each.field for each in told.columns] == ["", "tag"]


def test_what_no_column_is_may_stand_on_every_line_and_is_asked_again_once_taken_back(tmp_path: Path) -> None:
    source = source_of(tmp_path, "tag,visual\nA1,ok\n")
    mapping = results(source)
    assert asked(mapping)
    told = with_constant(mapping, "date", "24 Nov 2025")
    assert not told.problems
    assert [row.values["date"] for row in mapped_rows(source, told)] == ["24 Nov 2025"]
    assert asked(with_constant(told, "date", "")) == asked(mapping)


def test_heads_on_other_lines_keep_what_columns_fill_and_what_is_said_of_them_is_asked_anew(tmp_path: Path) -> None:
    source = source_of(tmp_path, "Site list,,\ntag,name,room\nA1,Kettle,kitchen\n")
    mapping = guess_mapping(source, ImportKind.ITEMS)
    moved = with_heads(source, mapping, lines_before=0, head_lines=0)
    assert [each.field for each in moved.columns] == [each.field for each in mapping.columns]
    assert len(list(lines_as_typed(source, moved))) == 3


def test_columns_that_a_kept_mapping_does_not_know_are_listed_and_not_taken(tmp_path: Path) -> None:
    source = source_of(tmp_path, "colour,tag,name\nred,A1,Kettle\n")
    kept = ColumnMapping(
        kind=ImportKind.ITEMS,
        columns=(
            MappedColumn(head="tag", position=1, field="tag"),
            MappedColumn(head="name", position=2, field="name"),
        ),
    )
    whole = with_every_column(source, kept)
    assert [(each.head, each.position, each.field) for each in whole.columns] == [
        ("colour", 1, ""),
        ("tag", 2, "tag"),
        ("name", 3, "name"),
    ]
    (row,) = mapped_rows(source, whole)
    assert row.values == {"tag": "A1", "name": "Kettle"}


def test_a_column_of_another_table_goes_and_what_nothing_fills_then_is_asked(tmp_path: Path) -> None:
    source = source_of(tmp_path, "tag,name\nA1,Kettle\n")
    other = ColumnMapping(
        kind=ImportKind.RESULTS,
        columns=(
            MappedColumn(head="tag", position=1, field="tag"),
            MappedColumn(head="day", position=2, field="date"),
        ),
    )
    whole = with_every_column(source, other)
    assert [(each.head, each.field) for each in whole.columns] == [("tag", "tag"), ("name", "")]
    assert any("date" in each.what for each in whole.problems)


def test_a_table_of_which_nothing_is_known_asks_until_one_column_is_told(tmp_path: Path) -> None:
    source = source_of(tmp_path, "aaa,bbb\nx,y\n")
    mapping = with_every_column(source, guess_mapping(source))
    assert mapping.problems
    assert not with_field(source, mapping, 1, "tag").problems
