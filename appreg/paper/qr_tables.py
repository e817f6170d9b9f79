"""Codes without waiting: a code is a sum of table entries, read once out of the qrcode library.

Placing, error correction and masking are linear over single bits, so the modules of a text are the exclusive-or of one
entry for each of its bytes; tests hold the result against qrcode's own, bit for bit.
"""

from functools import cache
from typing import Final

from appreg.core.lean_dataclasses import dataclass
from appreg.errors import InputRefused
from appreg.paper.qr_codes import MODULES
from appreg.paper.qr_scoring import penalty

ALPHANUMERIC: Final = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"
_VALUES: Final = {character: value for value, character in enumerate(ALPHANUMERIC)}
VERSION: Final = 2
MASKS: Final = 8
DATA_BYTES: Final = 28
"""Bytes of data in a version 2 code at level M."""
CODEWORDS: Final = 44
"""Bytes of data and error correction together."""
LONGEST: Final = 38
"""Characters of the alphanumeric set that fit (ISO/IEC 18004)."""
_MODE_BITS, _COUNT_BITS, _PAIR_BITS, _SINGLE_BITS = 4, 9, 11, 6
_PADDING: Final = (0xEC, 0x11)
_START: Final = 0xFF << (DATA_BYTES - 1) * 8
"""Bits are added to this one text, since qrcode cannot correct data that is all zero."""

Grid = int
"""All modules in one integer: bit row * MODULES + column is set where the module is dark."""


@dataclass(frozen=True, slots=True)
class Tables:
    """What a code is summed from."""

    by_byte: tuple[tuple[Grid, ...], ...]
    """For each data byte's place and value, the modules it turns."""
    finished: tuple[Grid, ...]
    """For each mask, the fixed patterns, the format information and the mask itself."""
    trial: tuple[Grid, ...]
    """The same without format information, as masks are compared."""


def best_code(payload: str) -> tuple[int, ...]:
    """Return the rows of a text's code, leftmost module in the highest bit; raises InputRefused for text that does not fit."""
    modules = f"{best_grid(payload):0{MODULES**2}b}"[::-1]
    return tuple(int(modules[start : start + MODULES], 2) for start in range(0, MODULES**2, MODULES))


def best_grid(payload: str) -> Grid:
    """Return a text's code under the mask of least penalty; raises InputRefused for text that does not fit."""
    tables = _tables()
    data = 0
    for by_value, byte in zip(tables.by_byte, data_bytes(payload), strict=True):
        data ^= by_value[byte]
    best = min(range(MASKS), key=lambda mask: penalty(data ^ tables.trial[mask]))
    return data ^ tables.finished[best]


def data_bytes(payload: str) -> bytes:
    """Return the bytes a text becomes, with mode, count, terminator and padding (ISO/IEC 18004, 7.4)."""
    if not 0 < len(payload) <= LONGEST or not _VALUES.keys() >= set(payload):
        raise InputRefused(
            f"A label's code holds 1 to {LONGEST} capital letters, digits and signs; {payload!r} is not such a text."
        )
    bits, length = 0b0010 << _COUNT_BITS | len(payload), _MODE_BITS + _COUNT_BITS
    for start in range(0, len(payload), 2):
        pair = [_VALUES[character] for character in payload[start : start + 2]]
        width = _PAIR_BITS if len(pair) == 2 else _SINGLE_BITS  # noqa: PLR2004 - a pair
        bits = bits << width | (pair[0] * len(ALPHANUMERIC) + pair[1] if width == _PAIR_BITS else pair[0])
        length += width
    end = min(DATA_BYTES * 8, length + 4)
    whole = -(-end // 8)
    content = (bits << whole * 8 - length).to_bytes(whole, "big")
    return content + bytes(_PADDING[place % 2] for place in range(DATA_BYTES - whole))


@cache
def _tables() -> Tables:
    """Read the tables out of qrcode; some 20 ms, once a process."""
    cells = _cells_by_bit()
    by_bit = [_spread(codewords, cells) for codewords in _codewords_by_bit()]
    zero = _modules(bytes(CODEWORDS), 0, trial=True) ^ _mask(0)
    return Tables(
        by_byte=tuple(_by_value(by_bit[place * 8 : place * 8 + 8]) for place in range(DATA_BYTES)),
        finished=tuple(_modules(bytes(CODEWORDS), mask, trial=False) for mask in range(MASKS)),
        trial=tuple(zero ^ _mask(mask) for mask in range(MASKS)),
    )


def _by_value(bits: list[Grid]) -> tuple[Grid, ...]:
    values = [0]
    for grid in reversed(bits):
        values += [value ^ grid for value in values]
    return tuple(values)


def _spread(codewords: int, cells: list[Grid]) -> Grid:
    """Put each bit of the codewords on its cell."""
    grid = 0
    for cell in reversed(cells):
        if codewords & 1:
            grid ^= cell
        codewords >>= 1
    return grid


def _codewords_by_bit() -> list[int]:
    """Return the codewords that each data bit turns, first bit first.

    A byte one place earlier is divided by the generator once more, so the last byte's corrections give all others.
    """
    start, parity_bits = _corrected(_START), 8 * (CODEWORDS - DATA_BYTES)
    low = (1 << parity_bits) - 1
    parities = [(_corrected(_START ^ 1 << bit) ^ start) & low for bit in reversed(range(8))]
    by_last_byte = _by_value(parities)
    codewords: list[int] = []
    for place in reversed(range(DATA_BYTES)):
        first = (CODEWORDS - 1 - place) * 8
        codewords[:0] = [1 << first + 7 - bit | parity for bit, parity in enumerate(parities)]
        parities = [parity << 8 & low ^ by_last_byte[parity >> parity_bits - 8] for parity in parities]
    return codewords


def _corrected(data: int) -> int:
    """Return data bytes followed by qrcode's error correction."""
    from qrcode import base, constants, util  # noqa: PLC0415 - loads only where a code is drawn

    buffer = util.BitBuffer()
    buffer.put(data, DATA_BYTES * 8)
    return int.from_bytes(bytes(util.create_bytes(buffer, base.rs_blocks(VERSION, constants.ERROR_CORRECT_M))), "big")


def _modules(codewords: bytes, mask: int, *, trial: bool) -> Grid:
    """Let qrcode place codewords under a mask."""
    from qrcode import QRCode, constants  # noqa: PLC0415 - loads only where a code is drawn

    code = QRCode(version=VERSION, error_correction=constants.ERROR_CORRECT_M)
    code.data_cache = list(codewords)
    code.makeImpl(trial, mask)
    flat = (module for row in code.modules for module in row)
    return sum(1 << place for place, module in enumerate(flat) if module)


@cache
def _mask(mask: int) -> Grid:
    """Return the modules that a mask turns, all of them in the data area."""
    from qrcode import util  # noqa: PLC0415 - loads only where a code is drawn

    turns = util.mask_func(mask)
    area = _data_area()
    whole = sum(1 << y * MODULES + x for y in range(MODULES) for x in range(MODULES) if turns(y, x))
    return whole & area


@cache
def _data_area() -> Grid:
    """Return the modules that data can turn; remainder modules are among them."""
    blank, full = bytes(CODEWORDS), b"\xff" * CODEWORDS
    turned = _modules(blank, 0, trial=True) ^ _modules(full, 0, trial=True)
    for mask in range(MASKS):
        turned |= _modules(blank, mask, trial=True) ^ _modules(blank, 0, trial=True)
    return turned


def _cells_by_bit() -> list[Grid]:
    """Find where qrcode puts each bit of the codewords, from a few codes whose bits spell the bit's own number."""
    count = CODEWORDS * 8
    blank = _modules(bytes(count // 8), 0, trial=True)
    number_at = [0] * MODULES**2
    for digit in range(count.bit_length()):
        bits = "".join(str((place + 1) >> digit & 1) for place in range(count))
        turned = _modules(int(bits, 2).to_bytes(count // 8, "big"), 0, trial=True) ^ blank
        for place in range(MODULES**2):
            number_at[place] |= (turned >> place & 1) << digit
    where = {number: place for place, number in enumerate(number_at) if number}
    return [1 << where[place + 1] for place in range(count)]
