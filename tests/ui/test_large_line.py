"""What is at hand, large: as much of it as there is room for, and nothing cut apart."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appreg.ui.widgets.big_letters import ROWS, big_word
from appreg.ui.widgets.large_line import TALL, LargeView, large_rows
from appreg.ui.widgets.outcome_block import broken

EARTH = LargeView(
    title="EARTH",
    name="EARTH",
    figure="0.08",
    limit="≤0.1208",
    unit="Ω",
    mark="√",
    style="bold $pass",
    words="earth 0.08 ≤ 0.1208 Ω pass",
)
INSULATION = LargeView(
    title="INS", name="INSULATION 500 V", figure=">299", limit="≥1", unit="MΩ", mark="√", words="insulation >299"
)
WORDS = st.text(max_size=30)


def drawn(view: LargeView, width: int, height: int = ROWS) -> str:
    return "\n".join(row.plain for row in large_rows(view, width, height))


def holds(picture: str, text: str, *, tall: bool = False) -> bool:
    """Every row of the text stands whole in the picture, one under the other."""
    rows, lines = big_word(text, tall=tall), picture.splitlines()
    return any(
        all(line[at:].startswith(row.rstrip()) for line, row in zip(lines[top:], rows, strict=False))
        for top in range(len(lines) - len(rows) + 1)
        for at in range(len(lines[top]))
    )


@pytest.mark.parametrize("width", [78, 100, 150])
def test_name_reading_and_limit_are_large_at_eighty_columns_and_more(width: int) -> None:
    for view in (EARTH, INSULATION):
        picture = drawn(view, width)
        assert all(holds(picture, part) for part in (view.title, view.figure, view.limit, view.mark)), width


def test_the_unit_is_the_first_to_go_and_the_name_the_next() -> None:
    assert holds(drawn(EARTH, 90), "≤0.1208Ω")
    assert not holds(drawn(EARTH, 78), "≤0.1208Ω")
    narrow = drawn(EARTH, 58)
    assert all(holds(narrow, part) for part in ("0.08", "≤0.1208", "√"))
    assert "EARTH" in narrow
    assert "Ω" in narrow


def test_where_there_is_height_the_reading_is_twice_as_large_and_last_time_beside_the_name() -> None:
    view = LargeView(title="INS", name="INSULATION 500 V", figure="0.08", limit="≤0.1208", unit="Ω", last="0.07")
    picture = drawn(view, 116, TALL)
    assert len(picture.splitlines()) == TALL
    assert holds(picture, "INSULATION 500 V")
    assert holds(picture, "0.08", tall=True)
    assert holds(picture, "≤0.1208Ω", tall=True)
    assert holds(drawn(view, 116 + 40, TALL), "LAST 0.07")


def test_a_long_reading_keeps_the_name_in_its_own_rows_and_is_drawn_as_large_as_it_can_be() -> None:
    view = LargeView(title="EARTH", name="EARTH", figure="0.125/0.129", limit="≤0.1208", unit="Ω", mark="X")
    picture = drawn(view, 83, TALL).splitlines()
    assert len(picture) == TALL
    assert holds("\n".join(picture[:ROWS]), "EARTH")
    assert all(holds("\n".join(picture[ROWS:]), part) for part in ("0.125/0.129", "≤0.1208", "X"))


@given(
    view=st.builds(
        LargeView, title=WORDS, name=WORDS, figure=WORDS, limit=WORDS, unit=WORDS, mark=WORDS, last=WORDS, words=WORDS
    ),
    width=st.integers(30, 160),
    height=st.sampled_from([ROWS, TALL]),
)
def test_no_row_is_ever_wider_than_its_room(view: LargeView, width: int, height: int) -> None:
    rows = large_rows(view, width, height)
    assert len(rows) in {ROWS, TALL}
    assert all(row.cell_length <= width for row in rows)
    assert all("\n" not in row.plain for row in rows)


@given(text=st.text(st.sampled_from("ab c·Ω"), max_size=80), room=st.integers(5, 40))
def test_a_text_in_rows_loses_nothing_but_blanks(text: str, room: int) -> None:
    rows = broken(text, room)
    assert all(len(row) <= room for row in rows)
    assert "".join("".join(rows).split()) == "".join(text.split())
