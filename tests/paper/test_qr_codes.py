import pytest
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from appreg.core.values.uids import Uid, is_uid, uid_from
from appreg.errors import InputRefused
from appreg.paper.codes.qr_codes import (
    ALPHANUMERIC,
    LONGEST,
    MASK,
    MODULES,
    QUIET_MODULES,
    Matrix,
    half_blocks,
    payload_for,
    qr_matrix,
    qr_rows,
    uid_in,
)

UIDS = st.builds(uid_from, st.integers(0, 2**47), st.integers(0, 2**80 - 1))
TEXTS = st.text(ALPHANUMERIC, min_size=1, max_size=LONGEST)


def _seen(matrix: Matrix) -> Image.Image:
    """A picture of a code as a scanner sees it, four dots a module, its quiet zone around it."""
    quiet = QUIET_MODULES
    rows = [[True] * (MODULES + 2 * quiet)] * quiet
    rows = [*rows, *([True] * quiet + [not dark for dark in row] + [True] * quiet for row in matrix), *rows]
    picture = Image.new("1", (len(rows[0]), len(rows)))
    picture.putdata([light for row in rows for light in row])
    return picture.resize((len(rows) * 4, len(rows) * 4))


@settings(max_examples=60, deadline=None)
@given(UIDS.map(payload_for) | TEXTS)
def test_every_code_is_read_as_what_it_says_at_its_version_and_level(payload: str) -> None:
    matrix = qr_matrix(payload)
    assert (len(matrix), {len(row) for row in matrix}) == (MODULES, {MODULES})
    (code,) = zxingcpp.read_barcodes(_seen(matrix).convert("L"))
    assert (code.text, code.ec_level) == (payload, "M")


@given(UIDS)
def test_every_code_has_the_one_mask(uid: Uid) -> None:
    # ISO/IEC 18004, 7.9: the format information beside the upper left finder, bits 14 to 10 (published): level M is 00,
    # then the mask; all of it under the pattern 101010000010010.
    row = qr_matrix(payload_for(uid))[8]
    assert [int(dark) for dark in row[:5]] == [
        int(bit) ^ int(under) for bit, under in zip(f"00{MASK:03b}", "10101", strict=True)
    ]


def test_rows_are_the_modules_from_left_to_right() -> None:
    payload = payload_for(uid_from(1, 2))
    assert [f"{row:0{MODULES}b}" for row in qr_rows(payload)] == [
        "".join(str(int(dark)) for dark in row) for row in qr_matrix(payload)
    ]


@given(UIDS)
def test_a_payload_gives_back_its_key_in_either_case(uid: Uid) -> None:
    payload = payload_for(uid)
    assert len(payload) == 33
    assert uid_in(payload) == uid
    assert uid_in(f"  {payload.lower()}\n") == uid


@pytest.mark.parametrize(
    "text", ["", "KL-017", "APPREG:", "APPREG:KL-017", "appreg:0", "http://x/APPREG:", "APPREG:" + "U" * 26]
)
def test_a_text_that_is_not_ours_holds_no_key(text: str) -> None:
    assert uid_in(text) is None


@pytest.mark.parametrize("payload", ["", "a", "Ω", "A" * (LONGEST + 1), "A\n"])
def test_text_that_does_not_fit_a_code_is_refused(payload: str) -> None:
    with pytest.raises(InputRefused, match="1 to 38 capital letters"):
        qr_matrix(payload)


def test_half_blocks_draw_every_module_inside_a_white_border() -> None:
    matrix = qr_matrix(payload_for(uid_from(1, 2)))
    lines = half_blocks(matrix)
    assert {len(line) for line in lines} == {MODULES + 4}
    assert lines[0] == "█" * (MODULES + 4)
    white = {" ": (0, 0), "▀": (1, 0), "▄": (0, 1), "█": (1, 1)}
    for y, row in enumerate(matrix, 2):
        assert [not white[lines[y // 2][x]][y % 2] for x in range(2, MODULES + 2)] == list(row)
    assert is_uid(uid_from(1, 2))
