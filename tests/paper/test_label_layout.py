import pytest
from hypothesis import given
from hypothesis import strategies as st

from appreg.errors import InputRefused
from appreg.paper.labels.label_layout import Place, next_free, place_labels, sheets_needed
from appreg.paper.labels.label_stock import Stock, load_stocks

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
    rest = place_labels(stock, count - first, next_free(stock, first, start))
    assert [place.position for place in whole[first:]] == [place.position for place in rest]
    assert sheets_needed(stock, count, start) == whole[-1].sheet


@pytest.mark.parametrize("stock", STOCKS, ids=lambda stock: stock.id)
def test_the_first_label_lies_where_the_start_says(stock: Stock) -> None:
    (last,) = place_labels(stock, 1, stock.places)
    assert last.sheet == 1
    assert last.position == stock.places
    assert next_free(stock, 1, stock.places) == 1


@pytest.mark.parametrize("start", [0, -3, 25])
def test_a_position_that_is_not_on_the_sheet_is_refused_by_name(start: int) -> None:
    with pytest.raises(InputRefused, match=f"{start} is not on the sheet.*1 to 24"):
        place_labels(load_stocks()["a4-24"], 1, start)


def test_no_label_needs_no_sheet() -> None:
    stock = load_stocks()["a4-40"]
    assert place_labels(stock, 0, 7) == []
    assert sheets_needed(stock, 0, 7) == 0
    assert next_free(stock, 0, 7) == 7
