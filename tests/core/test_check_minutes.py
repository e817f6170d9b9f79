"""How long an inspection takes: the usual figures, and a person's own."""

import pytest

from appreg.core.records.checks import Check
from appreg.core.rules.check_minutes import minutes_from, usual_minutes
from appreg.errors import InputRefused


def test_every_check_has_its_minutes_and_they_add_up_with_the_items_own() -> None:
    usual = usual_minutes()
    assert set(usual.checks) == set(Check)
    assert usual.of((Check.VISUAL,)) == usual.item + usual.checks[Check.VISUAL]
    assert usual.of(()) >= 1


def test_a_file_changes_the_figures_it_names_and_no_others() -> None:
    own = minutes_from('[minutes]\nvisual = 4\n"rcd-0.5x" = 3\n', "own.toml")
    assert (own.checks[Check.VISUAL], own.checks[Check.RCD_HALF]) == (4, 3)
    assert own.item == usual_minutes().item
    assert own.checks[Check.EARTH_CONTINUITY] == usual_minutes().checks[Check.EARTH_CONTINUITY]


def test_an_item_takes_at_least_a_minute_however_small_the_figures() -> None:
    assert minutes_from("[minutes]\nitem = 0\nvisual = 0\n", "own.toml").of((Check.VISUAL,)) == 1


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("[minutes]\n\nlooks = 1\n", r"own.toml, line 3, minutes.looks: is no check; use one of"),
        ("[minutes]\nvisual = 2.5\n", r"own.toml, line 2, minutes.visual: must be whole minutes from 0 to 480"),
        ("[minutes]\nvisual = -1\n", "must be whole minutes"),
        ("[minutes]\nvisual = true\n", "must be whole minutes"),
        ("visual = 2\n", "begin the file with"),
        ("[minutes\n", "is not valid TOML"),
    ],
)
def test_what_cannot_be_used_is_refused_by_file_line_and_key(text: str, sentence: str) -> None:
    with pytest.raises(InputRefused, match=sentence):
        minutes_from(text, "own.toml")
