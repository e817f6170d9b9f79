from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from appreg.ui.lists.row_sources import Arrangement, MemoryRows
from appreg.ui.lists.table_columns import (
    Column,
    FieldColumn,
    Placed,
    count_column,
    date_column,
    fitted,
    gap_in,
    set_cell,
)

COLUMNS = st.lists(
    st.builds(
        Column,
        key=st.just("k"),
        title=st.just("t"),
        min_width=st.integers(1, 30),
        max_width=st.integers(0, 60),
        priority=st.integers(0, 4),
    ),
    min_size=1,
    max_size=8,
)


@given(columns=COLUMNS, width=st.integers(30, 250))
def test_columns_never_take_more_than_the_width_nor_less_than_they_need(columns: list[Column], width: int) -> None:
    placed = fitted(columns, width)
    assert placed
    assert sum(each.width for each in placed) + gap_in(width) * (len(placed) - 1) <= width
    assert all(each.width >= each.column.min_width for each in placed)
    assert all(each.width <= max(each.column.min_width, each.column.max_width) for each in placed)
    assert [each.index for each in placed] == sorted(each.index for each in placed)


@given(columns=COLUMNS, width=st.integers(30, 250))
def test_what_is_left_out_is_never_more_important_than_what_stays(columns: list[Column], width: int) -> None:
    shown = {each.index for each in fitted(columns, width)}
    left_out = [column.priority for place, column in enumerate(columns) if place not in shown]
    assert all(columns[place].priority <= min(left_out, default=99) for place in shown)


@given(text=st.text(max_size=40), width=st.integers(2, 30), number=st.booleans(), decimals=st.integers(0, 4))
def test_a_cell_is_exactly_as_wide_as_its_column(text: str, width: int, number: bool, decimals: int) -> None:
    column = Column(key="k", title="t", min_width=width, number=number, decimals=decimals)
    assert cell_len(set_cell(text, Placed(0, column, width))) == width


@pytest.mark.parametrize(
    ("text", "cell"),
    [("0.08", "   0.08 "), ("12", "  12    "), (">299", ">299    "), ("1.234", "   1.234"), ("", "        ")],
)
def test_numbers_stand_on_their_decimal_point(text: str, cell: str) -> None:
    column = Column(key="k", title="t", min_width=8, number=True, decimals=3)
    assert set_cell(text, Placed(0, column, 8)) == cell


def test_what_does_not_fit_is_cut_with_an_ellipsis() -> None:
    column = Column(key="k", title="t", min_width=6)
    assert set_cell("Extension lead", Placed(0, column, 6)) == "Exten…"


WORDS: tuple[FieldColumn[str], ...] = (FieldColumn(key="word", title="word", min_width=8, text=str),)


@given(words=st.lists(st.text("abC ", min_size=1, max_size=5), unique=True))
def test_a_sorted_list_reversed_is_the_list_sorted_the_other_way(words: list[str]) -> None:
    rows = MemoryRows(WORDS, words, key=str)
    up = rows.arranged(Arrangement("word", descending=False))
    down = rows.arranged(Arrangement("word", descending=True))
    folded = [up.key(place).casefold() for place in range(len(up))]
    assert folded == [down.key(place).casefold() for place in reversed(range(len(down)))]


@given(words=st.lists(st.text("abc", min_size=1, max_size=5), unique=True), text=st.text("abc ", max_size=4))
def test_the_filter_keeps_the_rows_that_begin_so_or_else_hold_it(words: list[str], text: str) -> None:
    view = MemoryRows(WORDS, words, key=str).arranged(Arrangement(text=text))
    kept = [view.key(place) for place in range(len(view))]
    begun = [word for word in words if all(word.startswith(part) for part in text.split())]
    assert kept == (begun or [word for word in words if all(part in word for part in text.split())])
    assert [view.index_of(key) for key in kept] == list(range(len(kept)))


def test_a_tag_is_found_by_a_filter_without_its_separators_and_noughts() -> None:
    tags = (FieldColumn[str](key="tag", title="tag", min_width=8, text=str),)
    view = MemoryRows(tags, ["HR-007", "HR-070", "hr7 kettle", "7"], key=str).arranged(Arrangement(text="hr7"))
    assert [view.key(place) for place in range(len(view))] == ["HR-007", "hr7 kettle"]


def test_a_day_is_in_words_on_the_screen_and_in_iso_8601_in_files() -> None:
    days = date_column("on", "on", lambda day: day, none="never done")
    shown = [(days.text(day), days.filed_cell(day)) for day in (date(2026, 3, 4), None)]
    assert shown == [("04 Mar 2026", "2026-03-04"), ("never done", None)]


def test_a_count_of_none_is_a_dash_on_the_screen_and_zero_in_files() -> None:
    counts = count_column("late", "late", int, min_width=4, zero="-")
    assert [(counts.text(count), counts.filed_cell(count)) for count in ("3", "0")] == [("3", 3), ("-", 0)]


def test_cells_are_made_for_the_rows_that_are_looked_at_alone() -> None:
    made: list[str] = []

    def told(word: str) -> str:
        made.append(word)
        return word

    columns = (FieldColumn(key="word", title="word", min_width=4, text=told),)
    rows = MemoryRows(columns, [f"word {number}" for number in range(2000)], key=str)
    view = rows.with_items(["word 1999½"], order=str).arranged(Arrangement())
    assert len(view) == 2001
    assert made == []
    assert [*view.rows(3, 5), *view.rows(3, 5)] == [("word 3",), ("word 4",)] * 2
    assert made == ["word 3", "word 4"]
