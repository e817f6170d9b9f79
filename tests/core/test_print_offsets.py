"""How far printers are moved is read as people write it, and refused in one sentence where it says nothing."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appreg.core.values.print_offsets import FARTHEST_MM, Offset, offset_for, read_offsets
from appreg.errors import InputRefused


@pytest.mark.parametrize(
    ("text", "offsets"),
    [
        ("", {}),
        ("office: 0.6 right 1.2 up", {"office": Offset(0.6, -1.2)}),
        ("office: 0,6 mm left, 1 down; store:2 up ;", {"office": Offset(-0.6, 1), "store": Offset(0, -2)}),
        ("a:b: 1 up 2 right", {"a:b": Offset(2, -1)}),
        ("office: 10 LEFT", {"office": Offset(-10, 0)}),
    ],
)
def test_offsets_are_read_by_printer(text: str, offsets: dict[str, Offset]) -> None:
    assert dict(read_offsets(text)) == offsets


@pytest.mark.parametrize(
    "text",
    [
        *("office", "0.6 right", ": 1 up", "office:", "office: 0.6", "office: up", "office: 1 up 1 down", "office: 1 up 2 up"),
        *("office: 11 up", "office: -1 up", "office: 1 up; office: 2 up", "office: 1 up 2 left 3 up", "a\x1bb: 1 up"),
        "[red]: 1 sideways",
    ],
)  # fmt: skip
def test_what_says_no_offset_is_refused_in_one_sentence(text: str) -> None:
    with pytest.raises(InputRefused, match=r"\.$") as refusal:
        read_offsets(text)
    assert "\n" not in str(refusal.value)
    assert "\x1b" not in str(refusal.value)


HUNDREDTHS = st.integers(-int(FARTHEST_MM * 100), int(FARTHEST_MM * 100)).map(lambda number: number / 100)


@given(st.builds(Offset, HUNDREDTHS, HUNDREDTHS))
def test_an_offset_is_read_back_from_its_words(offset: Offset) -> None:
    assert not offset.words or read_offsets(f"office: {offset.words}")["office"] == offset


def test_a_printer_without_an_offset_is_refused_and_none_named_moves_nothing() -> None:
    assert offset_for("office: 1 up", "") == Offset()
    assert offset_for("office: 1 up", "office") == Offset(0, -1)
    with pytest.raises(InputRefused, match="No offset is kept for the printer store; there are office"):
        offset_for("office: 1 up", "store")
    with pytest.raises(InputRefused, match="there is none yet"):
        offset_for("", "store")
