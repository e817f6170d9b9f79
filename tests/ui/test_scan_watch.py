"""A label's code is told from typing by how it begins and by a reader's speed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appreg.clock import Instant
from appreg.core.values.label_codes import code_text
from appreg.core.values.uids import uid_from
from appreg.ui.scanning_app import LONGEST_GAP, ScanWatch
from tests.old_labels import old_code

UID = uid_from(1_790_000_000_000, 12345)
OLD, NEW = old_code(UID), code_text("HR-001", UID)


def feed(watch: ScanWatch, text: str, gap: int) -> list[bool]:
    return [watch.takes(character, Instant(place * gap)) for place, character in enumerate(text)]


@pytest.mark.parametrize("code", [OLD, NEW])
@pytest.mark.parametrize("gap", [0, 5, 50, LONGEST_GAP])
def test_a_code_at_a_readers_speed_is_taken_whole(gap: int, code: str) -> None:
    watch = ScanWatch()
    assert all(feed(watch, code, gap))
    assert watch.is_surely_a_scan
    assert watch.end() == code
    assert watch.text == ""


def test_the_same_characters_at_the_speed_of_fingers_are_not() -> None:
    watch = ScanWatch()
    assert feed(watch, "APP", LONGEST_GAP + 1) == [True, False, False]
    assert not watch.is_surely_a_scan


@given(st.text(st.characters(min_codepoint=32, max_codepoint=126), min_size=1))
def test_only_what_begins_as_a_code_is_held_back(text: str) -> None:
    watch = ScanWatch()
    taken = feed(watch, text, 0)
    held = next((place for place, took in enumerate(taken) if not took), len(text))
    assert "APPREG:".startswith(text[:held]) or text.startswith(("APPREG:", "*"))


def test_a_star_and_what_is_typed_after_it_is_not_held_for_a_code() -> None:
    watch = ScanWatch()
    assert feed(watch, "*new lead", 0) == [True, *[False] * 8]
    assert not watch.is_surely_a_scan
    assert watch.end() == "*"


NO_CHARACTERS = [None, "\r", "\t", "\x1b", "\x11"]


@pytest.mark.parametrize("character", NO_CHARACTERS)
def test_a_key_that_is_no_character_is_not_held_back_before_it_is_a_code(character: str | None) -> None:
    watch = ScanWatch()
    feed(watch, "APPRE", 0)
    assert not watch.takes(character, Instant(0))
    assert watch.text == "APPRE"


@pytest.mark.parametrize("character", NO_CHARACTERS)
def test_a_key_that_is_no_character_within_a_code_is_swallowed(character: str | None) -> None:
    watch = ScanWatch()
    feed(watch, "APPREG:01", 0)
    assert watch.takes(character, Instant(LONGEST_GAP))
    assert watch.text == "APPREG:01"
    assert watch.takes("2", Instant(2 * LONGEST_GAP))
    assert not watch.takes(character, Instant(3 * LONGEST_GAP + 1))
