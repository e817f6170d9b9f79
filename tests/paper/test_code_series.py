"""Codes made from a few are the library's own, module by module."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from appreg.core.values.label_codes import LONGEST_CODE
from appreg.errors import InputRefused
from appreg.paper.codes.code_series import series_rows
from appreg.paper.codes.qr_codes import ALPHANUMERIC, SMALL, STURDY, CodeForm, qr_rows


@pytest.mark.parametrize("form", [SMALL, STURDY])
@settings(max_examples=60, deadline=None)
@given(st.integers(0, 3), st.data())
def test_each_code_of_a_series_is_the_one_that_the_library_makes(
    form: CodeForm, less: int, data: st.DataObject
) -> None:
    length = LONGEST_CODE - less
    payload = data.draw(st.text(ALPHANUMERIC, min_size=length, max_size=length))
    assert series_rows(payload, form) == qr_rows(payload, form)


@pytest.mark.parametrize("payload", ["A", "::", "Z Z", "*HR-001 4K7Q2M", ":" * LONGEST_CODE, ":" * (LONGEST_CODE - 1)])
def test_a_code_of_any_length_is_the_one_that_the_library_makes(payload: str) -> None:
    assert series_rows(payload, STURDY) == qr_rows(payload, STURDY)


@pytest.mark.parametrize("payload", ["", "a", "A" * (LONGEST_CODE + 1), "漢"])
def test_what_no_code_of_the_form_holds_is_refused_alike(payload: str) -> None:
    with pytest.raises(InputRefused, match="holds 1 to 20"):
        series_rows(payload, SMALL)
