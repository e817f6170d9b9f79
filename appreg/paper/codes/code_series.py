"""Many codes of one form, made from a few: what the standard makes of a text is linear, bit by bit.

Under one mask every module is the sum, modulo 2, of bits of the text and a constant: text, padding and check words are all
linear (ISO/IEC 18004, 7.4 and 7.5; Reed-Solomon codes are linear). So the codes of texts with one bit set give all others.
"""

from collections.abc import Iterator
from functools import cache
from typing import Final

from msgspec import Struct

from appreg.paper.codes.qr_codes import ALPHANUMERIC, CodeForm, qr_rows

WORTH_IT: Final = 400
"""So many codes of one length repay making the few."""
_BASE: Final = len(ALPHANUMERIC)
_PAIR_BITS, _LAST_BITS = 11, 6
"""Bits of two characters, and of a single one at the end."""


class _Series(Struct, frozen=True):
    """The codes of one form and length, each as one number of all its modules."""

    zero: int
    """Of the text whose bits are all unset."""
    bits: tuple[tuple[int, ...], ...]
    """By field of two characters and by bit, the lowest first: what differs where that bit is set."""


def series_rows(payload: str, form: CodeForm) -> tuple[int, ...]:
    """As qr_rows(), and the same; the first of each length takes long, the others next to nothing."""
    if not 0 < len(payload) <= form.holds or not set(ALPHANUMERIC).issuperset(payload):
        return qr_rows(payload, form)  # which says what is wrong
    series = _series(form, len(payload))
    modules = series.zero
    for value, field in zip(_values(payload), series.bits, strict=True):
        left = value
        while left:
            lowest = left & -left
            modules ^= field[lowest.bit_length() - 1]
            left ^= lowest
    side = form.modules
    row = (1 << side) - 1
    return tuple(modules >> side * place & row for place in reversed(range(side)))


@cache
def _series(form: CodeForm, length: int) -> _Series:
    fields = -(-length // 2)
    zero = _whole([0] * fields, length, form)
    bits = []
    for field in range(fields):
        width = _LAST_BITS if field == length // 2 else _PAIR_BITS
        # Each power of two is the value of some two characters, so the library can be asked for it.
        ones = (
            [1 << bit if place == field else 0 for place in range(fields)]
            for bit in range(width)
            if _is_text(bit, width)
        )
        bits.append(tuple(_whole(values, length, form) ^ zero for values in ones))
    return _Series(zero, tuple(bits))


def _is_text(bit: int, width: int) -> bool:
    return 1 << bit < (_BASE if width == _LAST_BITS else _BASE**2)


def _whole(values: list[int], length: int, form: CodeForm) -> int:
    text = "".join(_characters(values, length))
    whole = 0
    for row in qr_rows(text, form):
        whole = whole << form.modules | row
    return whole


def _characters(values: list[int], length: int) -> Iterator[str]:
    for place, value in enumerate(values):
        if place == length // 2:
            yield ALPHANUMERIC[value]
        else:
            yield ALPHANUMERIC[value // _BASE] + ALPHANUMERIC[value % _BASE]


def _values(payload: str) -> Iterator[int]:
    codes = [_CODES[character] for character in payload]
    for place in range(0, len(codes) - 1, 2):
        yield codes[place] * _BASE + codes[place + 1]
    if len(codes) % 2:
        yield codes[-1]


_CODES: Final = {character: code for code, character in enumerate(ALPHANUMERIC)}
