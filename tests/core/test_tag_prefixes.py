"""A prefix made from a site's name can begin a tag and is never one that is taken."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appreg.core.values.asset_tags import loosely_typed, prefix_from_name, without_separators


@pytest.mark.parametrize(
    ("name", "prefix"),
    [("Harbour Row 14", "HR"), ("Kiln Lane pottery", "KLP"), ("Mill", "MI"), ("Łódź", "OD"), ("14", "SI"), ("", "SI")],
)
def test_the_prefix_comes_from_the_initials(name: str, prefix: str) -> None:
    assert prefix_from_name(name, set()) == prefix


def test_a_prefix_that_is_taken_is_lengthened_and_then_numbered() -> None:
    taken: set[str] = set()
    for expected in ("HR", "HAR", "HARB", "HR2", "HR3"):
        assert prefix_from_name("Harbour Row", taken) == expected
        taken.add(expected)


@given(st.text(), st.sets(st.sampled_from(["SI", "SIT", "SITE", "AB", "A2", "SI2"])))
def test_any_name_gives_a_prefix_that_a_site_may_have(name: str, taken: set[str]) -> None:
    prefix = prefix_from_name(name, taken)
    assert re.fullmatch(r"[A-Z0-9]{1,8}", prefix)
    assert prefix not in taken


@pytest.mark.parametrize(("tag", "bare"), [("HR-007", "hr7"), ("B2-3", "b23"), ("KL_0/10", "kl010"), ("A-00", "a0")])
def test_a_tag_has_a_form_without_separators_and_noughts(tag: str, bare: str) -> None:
    assert without_separators(tag) == bare


@pytest.mark.parametrize("text", ["", "kettle", "7", "7a", "desk lamp number 2 in the hall", "%_"])
def test_what_has_no_letters_before_a_figure_is_no_tag_typed_loosely(text: str) -> None:
    assert loosely_typed(text) is None
