from array import array
from datetime import date
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from appreg.core.records.appliances import ServiceState
from appreg.register.lists.row_windows import ITEM_COLUMNS, RowFilter
from appreg.ui.lists.register_rows import RegisterRows, SeatOrder
from appreg.ui.lists.row_sources import Arrangement, MemoryRows
from appreg.ui.lists.table_columns import FieldColumn
from tests.ui.list_register import TODAY, WHO, build_register, tagged


@given(
    seats=st.lists(st.integers(1, 400), unique=True, max_size=120),
    holding=st.lists(st.integers(1, 450), unique=True, max_size=120),
)
def test_a_filter_keeps_the_order_however_many_it_lets_through(seats: list[int], holding: list[int]) -> None:
    order = SeatOrder("tag", array("q", seats), descending=False)
    kept = [order.seats[place] for place in order.kept(holding)]
    assert kept == [seat for seat in seats if seat in holding]
    assert [order.place(seat) for seat in holding] == [seats.index(seat) if seat in seats else None for seat in holding]


def test_a_filter_never_reaches_beyond_the_site_a_list_is_kept_to(tmp_path: Path) -> None:
    with build_register(tmp_path / "rows.appreg") as register:
        site = tagged(register, "KL-001").site
        rows = RegisterRows(register, RowFilter(site=site), today=TODAY)
        view = rows.arranged(Arrangement(text="kettle"))
        assert [row[0] for row in view.rows(0, len(view))] == ["KL-002"]
        assert rows.items([view.key(0)]) == (tagged(register, "KL-002").uid,)
        assert view.index_of(view.key(0)) == 0
        assert view.index_of("999") is None
        whole = rows.arranged(Arrangement())
        other = next(whole.key(place) for place in range(len(whole)) if whole.key(place) != view.key(0))
        assert whole.index_of(other) is not None
        assert view.index_of(other) is None, "a row that the filter leaves out has no place"


def test_only_an_item_in_service_shows_next_dates(tmp_path: Path) -> None:
    states = list(ServiceState)
    with build_register(tmp_path / "states.appreg") as register:
        kettle = tagged(register, "KL-002")
        shown: dict[ServiceState, tuple[str, ...]] = {}
        for state in states:
            with register.change(WHO) as change:
                change.put(replace(kettle, state=state, next_visual=date(2027, 1, 2), next_test=date(2027, 3, 4)))
            view = RegisterRows(register, today=TODAY).arranged(Arrangement(text="KL-002"))
            shown[state] = tuple(view.rows(0, 1)[0][ITEM_COLUMNS.index(name)] for name in ("next_visual", "next_test"))
    assert shown.pop(ServiceState.IN_SERVICE) == ("02 Jan 2027", "04 Mar 2027")
    assert set(shown.values()) == {("", "")}


def test_words_are_found_by_their_start_and_else_anywhere(tmp_path: Path) -> None:
    with build_register(tmp_path / "words.appreg") as register:
        rows = RegisterRows(register, today=TODAY)
        found = {
            text: [row[0] for row in view.rows(0, len(view))]
            for text in ("kett", "ettl", "exten lea", "nothing", "%", "kl-00")
            if (view := rows.arranged(Arrangement(text=text))) is not None
        }
        assert found["kett"] == found["ettl"] == ["HR-002", "KL-002"]
        assert found["exten lea"] == ["HR-003", "KL-003"]
        assert found["nothing"] == found["%"] == []
        assert len(found["kl-00"]) == 6


def test_items_put_among_others_stand_where_they_belong_and_the_view_before_stays_as_it_was() -> None:
    columns = [FieldColumn[str](key="name", title="name", min_width=4, text=str.upper)]
    few = MemoryRows(columns, ["b", "d"], key=str)
    view = few.arranged(Arrangement())
    more = few.with_items(["c", "a", "e"], order=str)
    seen = more.arranged(Arrangement())
    assert [seen.key(place) for place in range(len(seen))] == ["a", "b", "c", "d", "e"]
    assert list(seen.rows(0, 2)) == [("A",), ("B",)]
    assert (len(view), len(few), len(more), more.item("c"), few.item("c")) == (2, 2, 5, "c", None)
