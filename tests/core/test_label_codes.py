"""What a label's code says, and what is no label's code."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appreg.core.values.label_codes import (
    LONGEST_CODE,
    LabelCode,
    code_text,
    is_surely_code,
    may_begin_code,
    read_label_code,
)
from appreg.core.values.uids import Uid, uid_from
from tests.old_labels import old_code

UIDS = st.builds(uid_from, st.integers(0, 2**47), st.integers(0, 2**80 - 1))
UID = uid_from(1_790_000_000_000, 0x1234567890)


@given(st.text(min_size=1, max_size=24), UIDS)
def test_every_tag_gives_a_code_of_at_most_20_characters_that_is_read_back_in_either_case(tag: str, uid: Uid) -> None:
    text = code_text(tag, uid)
    code = read_label_code(text)
    assert len(text) <= LONGEST_CODE
    assert code is not None
    assert code.mark == uid[-6:]
    assert read_label_code(f"  {text.lower()}\n") == code


@pytest.mark.parametrize(
    ("tag", "read"),
    [
        ("HR-001", "HR-001"),
        ("hr-001", "HR-001"),
        ("PLANT-ROOM 4", "PLANT-ROOM 4"),
        ("HARBOUR-ROW-0014", "HARBOUR-ROW+"),
        ("ŁÓDŹ-7", "ODZ-7+"),
        ("[red]", "RED+"),
        ("=1+1", "1+1+"),
        ("漢字", "+"),
    ],
)
def test_a_code_reads_as_the_tag_and_says_where_it_does_not_hold_all_of_it(tag: str, read: str) -> None:
    assert code_text(tag, UID) == f"*{read} {UID[-6:]}"


@pytest.mark.parametrize("text", [code_text("HR-001", UID), code_text("H" * 24, UID)])
def test_no_reader_takes_a_code_for_a_link(text: str) -> None:
    # What phones offer to open begins with a scheme: letters, then a colon (RFC 3986, 3.1; published).
    assert ":" not in text
    assert not text[0].isalpha()


@given(UIDS)
def test_labels_that_were_printed_before_are_read(uid: Uid) -> None:
    assert read_label_code(old_code(uid)) == LabelCode("", uid)
    assert read_label_code(f" {old_code(uid).lower()} ") == LabelCode("", uid)


@pytest.mark.parametrize(
    "text",
    ["", "KL-017", "APPREG:", "APPREG:KL-017", "appreg:0", "http://x/APPREG:", "APPREG:" + "U" * 26, "*", "*KL-017",
     "*KL-017 4K7Q2", "*KL-017 4K7Q2U", "KL-017 4K7Q2M", "*KL-017 4K7Q2MM", "* 4K7Q2M", "*kl\u0131 4K7Q2M"],
)  # fmt: skip
def test_a_text_that_is_no_labels_is_not_read(text: str) -> None:
    assert read_label_code(text) is None


@given(st.text(min_size=1, max_size=24), UIDS)
def test_a_code_may_begin_as_it_begins_and_is_sure_once_it_is_whole(tag: str, uid: Uid) -> None:
    for text in (code_text(tag, uid), old_code(uid)):
        assert all(may_begin_code(text[:end]) or is_surely_code(text[:end]) for end in range(len(text) + 1))
        assert is_surely_code(text)


@pytest.mark.parametrize("text", ["*", "*HR-001", "*HR-001 4K7Q2", "APPREG", "kettle", "2*3"])
def test_what_may_still_be_typing_is_not_sure(text: str) -> None:
    assert not is_surely_code(text)
