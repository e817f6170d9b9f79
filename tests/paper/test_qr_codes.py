import pytest
import qrcode
from hypothesis import given, settings
from hypothesis import strategies as st
from qrcode import util

from appreg.core.uids import Uid, is_uid, uid_from
from appreg.errors import InputRefused
from appreg.paper.qr_codes import MODULES, half_blocks, payload_for, qr_matrix, uid_in
from appreg.paper.qr_scoring import penalty
from appreg.paper.qr_tables import ALPHANUMERIC, LONGEST

UIDS = st.builds(uid_from, st.integers(0, 2**47), st.integers(0, 2**80 - 1))
TEXTS = st.text(ALPHANUMERIC, min_size=1, max_size=LONGEST).filter(lambda text: not text.isdigit())


def _reference(payload: str) -> "qrcode.QRCode[qrcode.image.base.BaseImage]":
    code = qrcode.QRCode(version=2, error_correction=qrcode.ERROR_CORRECT_M)
    code.add_data(payload, optimize=0)
    code.make(fit=False)
    return code


@settings(max_examples=60, deadline=None)
@given(UIDS.map(payload_for) | TEXTS)
def test_codes_are_bit_for_bit_those_of_the_qrcode_library(payload: str) -> None:
    assert qr_matrix(payload) == tuple(tuple(map(bool, row)) for row in _reference(payload).modules)


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 2 ** (MODULES**2) - 1) | st.just(0) | st.just(2 ** (MODULES**2) - 1))
def test_penalties_are_those_of_the_qrcode_library(grid: int) -> None:
    rows = [[bool(grid >> y * MODULES + x & 1) for x in range(MODULES)] for y in range(MODULES)]
    assert penalty(grid) == util.lost_point(rows)


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
