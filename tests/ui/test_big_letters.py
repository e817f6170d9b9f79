import string

import pytest

from appreg.core.values.outcomes import Outcome
from appreg.ui.widgets.big_letters import ROWS, TALL_ROWS, as_drawn, big_width, big_word, can_draw, cut_out
from appreg.ui.widgets.outcome_block import drawn_outcome

TAGS = f"{string.ascii_uppercase}{string.digits}-/. "
READINGS = "0123456789.,<>≤≥–/ΩMmkVAsµ_√?"


@pytest.mark.parametrize("outcome", list(Outcome))
def test_every_outcome_can_be_drawn_in_three_rows_of_one_width(outcome: Outcome) -> None:
    rows = big_word(outcome.value.upper())
    assert len(rows) == ROWS
    assert len({len(row) for row in rows}) == 1


def test_the_outcomes_differ_in_every_row_so_form_alone_tells_them_apart() -> None:
    drawn = [big_word(outcome.value.upper()) for outcome in Outcome]
    assert len({rows[0].strip() for rows in drawn}) == len(drawn)


def test_the_longest_outcome_leaves_room_for_its_reason_at_eighty_columns() -> None:
    assert len(big_word("INCOMPLETE")[0]) <= 50


def test_every_letter_of_tags_and_readings_has_a_drawing_of_its_own() -> None:
    signs = sorted({*TAGS, *READINGS})
    drawn = {sign: big_word(sign) for sign in signs}
    assert len({rows for sign, rows in drawn.items() if sign != "–"}) == len(signs) - 1


@pytest.mark.parametrize("text", ["HR-002", "≤0.1208Ω", "130–500ms", "X"])
def test_a_text_is_as_wide_as_was_reckoned_in_both_sizes(text: str) -> None:
    for tall, height in ((False, ROWS), (True, TALL_ROWS)):
        rows = big_word(text, tall=tall)
        assert [len(row) for row in rows] == [big_width(text, tall=tall)] * height


def test_a_small_letter_that_has_a_meaning_never_becomes_a_capital() -> None:
    assert as_drawn("85mΩ") == "85mΩ"
    assert as_drawn("2MΩ") == "2MΩ"
    assert as_drawn("none") == "NONE"
    assert not can_draw("hr-002")
    assert not can_draw("é")
    assert not can_draw("")


@pytest.mark.parametrize("tall", [False, True])
def test_a_failure_is_cut_out_of_one_slab_and_nothing_beside_it_reads_as_a_letter(*, tall: bool) -> None:
    rows = drawn_outcome(Outcome.FAIL, tall=tall)
    assert rows == cut_out("FAIL", tall=tall)
    assert all(row[0] == row[1] != " " and row[-1] == row[-2] != " " for row in rows)
    columns = ["".join(row[place] for row in rows).strip() for place in range(len(rows[0]))]
    assert all(columns)
    for other in (Outcome.PASS, Outcome.INCOMPLETE):
        plain = drawn_outcome(other, tall=tall)
        assert not all("".join(row[place] for row in plain).strip() for place in range(len(plain[0])))
