import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appreg.core.values.text import clean, guarded_cell, is_hidden, shown, unguarded_cell
from appreg.errors import InputRefused
from tests.hostile_names import HOSTILE_NAMES, TYPEABLE_NAMES


def test_the_corpus_holds_two_hundred_names() -> None:
    assert len(HOSTILE_NAMES) >= 200


@pytest.mark.parametrize("text", ["\x1b[31mred", "a\x00b", "a\x7fb", "a\x9bb", "a\u200bb", "\ue000"])
def test_what_cannot_be_seen_is_refused_with_a_sentence_that_names_the_field(text: str) -> None:
    with pytest.raises(InputRefused, match=r"^site name: .*\.$"):
        clean(text, field="site name")


def test_bidi_controls_are_stripped_at_entry() -> None:
    assert clean("abc\u202edef\u2066", field="name") == "abcdef"


def test_what_a_stripped_bidi_control_kept_from_the_end_is_trimmed_too() -> None:
    assert clean("\u200e  name \u200f", field="name") == "name"


def test_line_breaks_and_tabs_become_spaces_and_the_ends_are_trimmed() -> None:
    assert clean("  one\ntwo\tthree\r\n", field="name") == "one two three"


def test_markup_is_kept_to_the_letter() -> None:
    assert clean("[red]x[/red]", field="name") == "[red]x[/red]"


def test_a_text_that_is_too_long_is_refused_with_the_count() -> None:
    with pytest.raises(InputRefused, match="401 characters"):
        clean("a" * 401, field="name")


@given(st.text())
def test_cleaned_text_is_cleaned_again_to_itself(text: str) -> None:
    try:
        once = clean(text, field="name")
    except InputRefused:
        return
    assert clean(once, field="name") == once
    assert not any(is_hidden(c) for c in once)


@given(st.text())
def test_shown_text_holds_no_control_and_no_reordering_character(text: str) -> None:
    for character in shown(text):
        assert unicodedata.category(character) not in {"Cc", "Cs"}
        assert unicodedata.bidirectional(character) not in {
            "RLO",
            "LRO",
            "RLE",
            "LRE",
            "PDF",
            "LRI",
            "RLI",
            "FSI",
            "PDI",
        }


@given(st.text(alphabet=st.characters(exclude_categories=["C"])))
def test_plain_text_is_shown_unchanged(text: str) -> None:
    assert shown(text) == text.replace("\u2028", "⟨2028⟩").replace("\u2029", "⟨2029⟩")


def test_shown_makes_an_escape_visible() -> None:
    assert shown("a\x1b[31mb\u202ec") == "a␛[31mb⟨202E⟩c"


@given(st.text())
def test_guarding_a_cell_is_undone_exactly(text: str) -> None:
    assert unguarded_cell(guarded_cell(text)) == text


@pytest.mark.parametrize("name", TYPEABLE_NAMES)
def test_a_guarded_cell_never_starts_a_formula(name: str) -> None:
    assert guarded_cell(name)[:1] not in {"=", "+", "-", "@", "\t", "\r"}


# OWASP ASVS 1.2.10 (published): the cells a spreadsheet would run are prefixed with an apostrophe.
@pytest.mark.parametrize(
    ("cell", "expected"), [("=1+1", "'=1+1"), ("-ABC", "'-ABC"), ('a"b', 'a"b'), ("@x", "'@x"), ("+1", "'+1")]
)
def test_formula_starts_are_guarded(cell: str, expected: str) -> None:
    assert guarded_cell(cell) == expected
