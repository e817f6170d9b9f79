import pytest

from appreg.core.values.places_and_tags import MOST_TAGS, TagRanges, read_places, tags_between
from appreg.errors import InputRefused


@pytest.mark.parametrize(
    ("text", "places"),
    [
        ("", set()),
        ("3", {(1, 3)}),
        ("1-3, 9", {(1, 1), (1, 2), (1, 3), (1, 9)}),
        ("2:7-8 2:1", {(2, 7), (2, 8), (2, 1)}),
    ],
)
def test_places_are_read_by_sheet(text: str, places: set[tuple[int, int]]) -> None:
    assert read_places(text) == places


@pytest.mark.parametrize("text", ["x", "0", "3-1", "1:", ":3", "1-9999", "-1", "²"])
def test_what_is_no_place_is_refused(text: str) -> None:
    with pytest.raises(InputRefused, match="is no place on a sheet"):
        read_places(text)


def test_tags_are_held_in_the_order_in_which_people_count() -> None:
    tags = TagRanges.read("hr-2..HR-1000, KL-007")
    held = [
        tag for tag in ("HR-1", "HR-002", "HR-999", "HR-1000", "HR-1001", "KL-007", "KL-7", "KL-8") if tags.holds(tag)
    ]
    assert held == ["HR-002", "HR-999", "HR-1000", "KL-007", "KL-7"]


@pytest.mark.parametrize("text", ["", ",", "..", "HR-9..HR-1", "HR-1.."])
def test_a_list_without_tags_is_refused(text: str) -> None:
    with pytest.raises(InputRefused, match=r"names no tags|No tag is named"):
        TagRanges.read(text)


def test_tags_are_counted_on_with_their_noughts() -> None:
    assert tags_between("hr-009..HR-011, KL-7,hr-010") == ("HR-009", "HR-010", "HR-011", "KL-7")
    assert tags_between("B2-98..B2-101") == ("B2-98", "B2-99", "B2-100", "B2-101")
    assert len(tags_between(f"HR-1..HR-{MOST_TAGS}")) == MOST_TAGS


@pytest.mark.parametrize(
    "text", [f"HR-1..HR-{MOST_TAGS + 1}", "HR-1..HR-999999999", "HR-1..KL-2", "A..B", "HR-9..HR-1", ""]
)
def test_tags_that_cannot_be_counted_on_or_are_too_many_are_refused(text: str) -> None:
    with pytest.raises(InputRefused, match=r"\.$"):
        tags_between(text)
