import pytest
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from appreg.core.values.label_codes import LONGEST_CODE, code_text
from appreg.core.values.uids import Uid, uid_from
from appreg.errors import InputRefused
from appreg.paper.codes.qr_codes import (
    ALPHANUMERIC,
    MASK,
    QUIET_MODULES,
    SEALED,
    SMALL,
    STURDY,
    CodeForm,
    Matrix,
    half_blocks,
    qr_matrix,
    qr_rows,
)

UIDS = st.builds(uid_from, st.integers(0, 2**47), st.integers(0, 2**80 - 1))
TEXTS = st.text(ALPHANUMERIC, min_size=1, max_size=LONGEST_CODE)
ON_FORMS = pytest.mark.parametrize("form", [STURDY, SMALL, SEALED], ids=["sturdy", "small", "sealed"])
CODE = code_text("HR-001", uid_from(1, 2))


def _seen(matrix: Matrix) -> Image.Image:
    """A picture of a code as a scanner sees it, four dots a module, its quiet zone around it."""
    quiet = QUIET_MODULES
    rows = [[True] * (len(matrix) + 2 * quiet)] * quiet
    rows = [*rows, *([True] * quiet + [not dark for dark in row] + [True] * quiet for row in matrix), *rows]
    picture = Image.new("1", (len(rows[0]), len(rows)))
    picture.putdata([light for row in rows for light in row])
    return picture.resize((len(rows) * 4, len(rows) * 4))


@ON_FORMS
@settings(max_examples=40, deadline=None)
@given(payload=UIDS.map(lambda uid: code_text("HR-001", uid)) | TEXTS)
def test_every_code_is_read_as_what_it_says_at_its_version_and_level(form: CodeForm, payload: str) -> None:
    matrix = qr_matrix(payload, form)
    assert (len(matrix), {len(row) for row in matrix}) == (form.modules, {form.modules})
    (code,) = zxingcpp.read_barcodes(_seen(matrix).convert("L"))
    assert (code.text, code.ec_level) == (payload, form.level)


@ON_FORMS
@given(uid=UIDS)
def test_every_code_has_the_one_mask(form: CodeForm, uid: Uid) -> None:
    # ISO/IEC 18004, 7.9: the format information beside the upper left finder, bits 14 to 10 (published): level M is 00,
    # H is 10 and Q is 11, then the mask; all of it under the pattern 101010000010010.
    level = {"M": "00", "H": "10", "Q": "11"}[form.level]
    row = qr_matrix(code_text("HR-001", uid), form)[8]
    assert [int(dark) for dark in row[:5]] == [
        int(bit) ^ int(under) for bit, under in zip(f"{level}{MASK:03b}", "10101", strict=True)
    ]


@ON_FORMS
def test_rows_are_the_modules_from_left_to_right(form: CodeForm) -> None:
    assert [f"{row:0{form.modules}b}" for row in qr_rows(CODE, form)] == [
        "".join(str(int(dark)) for dark in row) for row in qr_matrix(CODE, form)
    ]


@pytest.mark.parametrize("payload", ["", "a", "Ω", "A" * (LONGEST_CODE + 1), "A\n"])
def test_text_that_does_not_fit_a_code_is_refused(payload: str) -> None:
    for form in (STURDY, SMALL):
        with pytest.raises(InputRefused, match="1 to 20 capital letters"):
            qr_matrix(payload, form)
    with pytest.raises(InputRefused, match="1 to 47 capital letters"):
        qr_matrix("A" * 48, SEALED)


@ON_FORMS
def test_half_blocks_draw_every_module_inside_a_white_border(form: CodeForm) -> None:
    matrix = qr_matrix(CODE, form)
    lines = half_blocks(matrix)
    assert {len(line) for line in lines} == {form.modules + 4}
    assert lines[0] == "█" * (form.modules + 4)
    white = {" ": (0, 0), "▀": (1, 0), "▄": (0, 1), "█": (1, 1)}
    for y, row in enumerate(matrix, 2):
        assert [not white[lines[y // 2][x]][y % 2] for x in range(2, form.modules + 2)] == list(row)
