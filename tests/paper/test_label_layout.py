import pytest
from hypothesis import given
from hypothesis import strategies as st

from appreg.errors import InputRefused
from appreg.paper.labels.label_layout import Place, Start, iterate_places, next_free, place_labels, sheets_needed
from appreg.paper.labels.label_stock import Stock
from appreg.paper.labels.stock_reading import load_stocks

STOCKS = tuple(load_stocks().values())
HAIR = 1e-6


def _apart(one: Place, other: Place) -> bool:
    return (
        one.sheet != other.sheet
        or one.x_mm + one.w <= other.x_mm + HAIR
        or other.x_mm + other.w <= one.x_mm + HAIR
        or one.y_mm + one.h <= other.y_mm + HAIR
        or other.y_mm + other.h <= one.y_mm + HAIR
    )


@given(st.sampled_from(STOCKS), st.integers(0, 140), st.data())
def test_labels_never_overlap_or_leave_the_sheet(stock: Stock, count: int, data: st.DataObject) -> None:
    start = data.draw(st.integers(1, stock.places))
    places = place_labels(stock, count, start)
    assert len(places) == count
    for index, place in enumerate(places):
        assert place.x_mm >= 0
        assert place.x_mm + place.w <= stock.sheet_width + HAIR
        assert place.y_mm >= 0
        assert place.y_mm + place.h <= stock.sheet_height + HAIR
        assert all(_apart(place, other) for other in places[index + 1 : index + 1 + stock.places])


@given(st.sampled_from(STOCKS), st.integers(1, 140), st.data())
def test_printing_goes_on_where_it_stopped(stock: Stock, count: int, data: st.DataObject) -> None:
    start = data.draw(st.integers(1, stock.places))
    first = data.draw(st.integers(1, count))
    whole = place_labels(stock, count, start)
    rest = place_labels(stock, count - first, next_free(stock, whole[first - 1], Start(at=start)))
    assert [place.position for place in whole[first:]] == [place.position for place in rest]
    assert sheets_needed(stock, [count], Start(at=start)) == whole[-1].sheet


@pytest.mark.parametrize("stock", STOCKS, ids=lambda stock: stock.id)
def test_the_first_label_lies_where_the_start_says(stock: Stock) -> None:
    (last,) = place_labels(stock, 1, stock.places)
    assert last.sheet == 1
    assert last.position == stock.places
    assert next_free(stock, last, Start(at=stock.places)) == 1


@pytest.mark.parametrize("start", [0, -3, 25])
def test_a_position_that_is_not_on_the_sheet_is_refused_by_name(start: int) -> None:
    with pytest.raises(InputRefused, match=f"{start} is not on the sheet.*1 to 24"):
        place_labels(load_stocks()["a4-24"], 1, start)


def test_no_label_needs_no_sheet() -> None:
    stock = load_stocks()["a4-40"]
    assert place_labels(stock, 0, 7) == []
    assert sheets_needed(stock, [0], Start(at=7)) == 0
    assert next_free(stock, None, Start(at=7)) == 7


@given(st.sampled_from(STOCKS), st.lists(st.integers(1, 40), min_size=1, max_size=4), st.data())
def test_sites_never_share_a_sheet_and_no_label_lies_on_a_used_place(
    stock: Stock, counts: list[int], data: st.DataObject
) -> None:
    used = data.draw(st.frozensets(st.integers(1, stock.places), max_size=stock.places - 1))
    free = sorted(set(range(1, stock.places + 1)) - used)
    start = Start(at=data.draw(st.integers(1, free[-1])), used=used)
    places = list(iterate_places(stock, counts, start))
    assert len(set(places)) == len(places) == sum(counts)
    assert not [place for place in places if place.sheet == 1 and (place.position in used or place.position < start.at)]
    sheets, rest = [], places
    for count in counts:
        sheets.append({place.sheet for place in rest[:count]})
        rest = rest[count:]
    assert sum(map(len, sheets)) == len(set().union(*sheets)) == sheets_needed(stock, counts, start)


def test_a_part_sheet_without_a_free_place_is_refused() -> None:
    stock = load_stocks()["a4-24"]
    with pytest.raises(InputRefused, match="No place of the first sheet is free"):
        list(iterate_places(stock, [1], Start(at=23, used=frozenset({23, 24}))))
    with pytest.raises(InputRefused, match="Position 25 is not on the sheet"):
        list(iterate_places(stock, [1], Start(used=frozenset({25}))))
