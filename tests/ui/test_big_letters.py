import pytest

from appreg.core.values.outcomes import Outcome
from appreg.ui.widgets.outcome_block import ROWS, big_word


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
