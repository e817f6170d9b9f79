from hashlib import sha256

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appreg.core.records.seals import DocumentSeal, Seal, document_seal, seal_at, seal_in
from appreg.errors import InputRefused

SEALS = st.builds(
    Seal, position=st.integers(1, 10**15 - 1), digest=st.text("0123456789ABCDEF", min_size=20, max_size=20)
)


def test_a_seal_is_written_in_groups_of_four_after_its_line() -> None:
    # The SHA-256 of "abc": FIPS 180-2, appendix B.1 (published).
    seal = seal_at(3490, sha256(b"abc").hexdigest())
    assert str(seal) == "3490 BA78-16BF-8F01-CFEA-4141"


@given(SEALS)
def test_what_is_written_is_read_back(seal: Seal) -> None:
    assert seal_in(str(seal)) == DocumentSeal(register="", seal=seal)


@given(
    SEALS,
    st.sampled_from(("-", " ", "", "–", "\u2011", " - ", "_")),
    st.booleans(),
    st.sampled_from((" ", "  ", "\t", "-", ": ")),
)
def test_it_is_read_however_a_person_copies_it(seal: Seal, between: str, small: bool, after: str) -> None:
    groups = [seal.digest[at : at + 4] for at in range(0, 20, 4)]
    written = f" {seal.position}{after}{between.join(groups)}\n"
    assert seal_in(written.lower() if small else written).seal == seal


def test_letters_that_look_like_digits_are_read_for_them() -> None:
    assert seal_in("1O I0lO-OOOO-0000-0000-0001").seal == Seal(position=10, digest="10100000000000000001")


@given(SEALS, st.text("0123456789ABCDEFGHJKMNPQRSTVWXYZ", min_size=26, max_size=26), st.booleans())
def test_the_seal_of_a_document_names_its_register_and_is_read_as_printed_and_as_scanned(
    seal: Seal, origin: str, small: bool
) -> None:
    told = document_seal(origin, seal)
    assert told.is_of(origin)
    for written in (str(told), told.scanned):
        read = seal_in(written.lower() if small else written)
        assert read == told
    assert len(told.scanned) <= 6 + 1 + 15 + 1 + 20


@pytest.mark.parametrize(
    "words",
    [
        "", " ", "3490", "7F3A-91C2-04BE-66D1-0B9E", "3490 7F3A-91C2-04BE-66D1-0B9", "3490 7F3A-91C2-04BE-66D1-0B9EF",
        "34907F3A91C204BE66D10B9E", "0 7F3A-91C2-04BE-66D1-0B9E", "-1 7F3A-91C2-04BE-66D1-0B9G", "03490 7F3A91C204BE66D10B9E",
        "9999999999999999 7F3A-91C2-04BE-66D1-0B9E", "٣ 7F3A-91C2-04BE-66D1-0B9E", "[red]", "\ud800", "3490 " + "A" * 10**6,
    ],
)  # fmt: skip
def test_anything_else_is_no_seal_in_one_sentence(words: str) -> None:
    with pytest.raises(InputRefused, match="is no seal") as refused:
        seal_in(words)
    assert str(refused.value).endswith(".")
    assert len(str(refused.value)) < 300
