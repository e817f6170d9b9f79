from hypothesis import given
from hypothesis import strategies as st

from appreg.paper.page.text_fitting import elided, shrunk, wrapped


def width(text: str) -> float:
    return float(sum(2 if character.isupper() else 1 for character in text))


TEXTS = st.text("abcXYZ -", max_size=80)


@given(TEXTS, st.integers(3, 30))
def test_an_elided_text_fits_and_a_text_that_fits_is_left_alone(text: str, room: int) -> None:
    result = elided(text, room, width)
    assert width(result) <= room
    if width(text) <= room:
        assert result == text
    else:
        assert text.startswith(result.removesuffix("…"))


@given(TEXTS, st.integers(3, 30), st.integers(1, 6))
def test_wrapped_lines_fit_their_room_and_number(text: str, room: int, lines: int) -> None:
    result = wrapped(text, room, width, lines=lines)
    assert len(result) <= lines
    assert all(width(line) <= room for line in result)


@given(TEXTS, st.integers(3, 30))
def test_wrapping_without_a_bound_loses_no_letter(text: str, room: int) -> None:
    joined = "".join(wrapped(text, room, width, lines=1000))
    assert joined.replace(" ", "") == text.replace(" ", "")


def test_words_break_only_where_one_is_too_long() -> None:
    assert wrapped("a kettle", 6, width, lines=9) == ["a", "kettle"]
    assert wrapped("abcdefgh x", 5, width, lines=9) == ["abcde", "fgh x"]


def test_type_shrinks_no_further_than_allowed() -> None:
    def measure(text: str, points: float) -> float:
        return len(text) * points

    assert shrunk("abc", 30, measure, points=10, least=5) == 10
    assert 7.4 < shrunk("abcd", 30, measure, points=10, least=5) < 7.5
    assert shrunk("abcdefghij", 30, measure, points=10, least=5) == 5
