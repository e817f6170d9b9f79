"""What rows of a table named before is remembered as a dictionary would, in a part of the room."""

import tracemalloc

from hypothesis import given
from hypothesis import strategies as st

from appreg.tasks.importing.lines_seen import LinesSeen


@given(st.lists(st.tuples(st.text(max_size=3), st.integers(-1, 50)), max_size=60))
def test_it_tells_the_line_that_a_dictionary_would(named: list[tuple[str, int]]) -> None:
    seen, kept = LinesSeen(), dict[str, int]()
    for text, line in named:
        assert (text in seen) == (text in kept)
        assert seen.first(text, line or 1) == kept.setdefault(text, line or 1)


def test_many_thousand_are_told_apart_in_little_room() -> None:
    tracemalloc.start()
    seen = LinesSeen()
    assert all(seen.first(f"AB-{number:05}", number) == number for number in range(1, 20_001))
    held = tracemalloc.get_traced_memory()[0]
    tracemalloc.stop()
    assert held < 20_000 * 80
    assert seen.first("AB-00007", 30_000) == 7
    assert "AB-20001" not in seen
