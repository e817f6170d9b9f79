"""What the codes on labels say, and the codes themselves (ISO/IEC 18004, version 2, level M)."""

from typing import Final

from appreg.core.values.uids import Uid, is_uid
from appreg.errors import InputRefused

PREFIX: Final = "APPREG:"
VERSION: Final = 2
MODULES: Final = 25
"""Modules a side of a version 2 code."""
ALPHANUMERIC: Final = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"
LONGEST: Final = 38
"""Characters of the alphanumeric set that fit (ISO/IEC 18004)."""
MASK: Final = 2
"""One mask for every code: choosing the best of eight takes most of the time, and readers make nothing of it."""
QUIET_MODULES: Final = 4
"""Modules kept white on every side."""

Matrix = tuple[tuple[bool, ...], ...]
"""Rows from the top, True is dark; without the quiet zone."""


def with_quiet_zone(modules: int) -> int:
    """Return a code's side in modules with the white border that readers need."""
    return modules + 2 * QUIET_MODULES


def payload_for(uid: Uid) -> str:
    """Return what the label of an appliance says to a scanner: 33 characters of the alphanumeric set."""
    return PREFIX + uid


def uid_in(payload: str) -> Uid | None:
    """Return the key that a scanned text holds, in either case; None where it is not ours."""
    text = payload.strip().upper()
    if not text.startswith(PREFIX):
        return None
    rest = text.removeprefix(PREFIX)
    return Uid(rest) if is_uid(rest) else None


def qr_matrix(payload: str) -> Matrix:
    """Return the code's modules; raises InputRefused for text that does not fit."""
    from qrcode import QRCode, constants  # noqa: PLC0415 - loads only where a code is drawn
    from qrcode.util import MODE_ALPHA_NUM, QRData  # noqa: PLC0415

    if not 0 < len(payload) <= LONGEST or not set(ALPHANUMERIC).issuperset(payload):
        raise InputRefused(
            f"A label's code holds 1 to {LONGEST} capital letters, digits and signs; {payload!r} is not such a text."
        )
    code = QRCode(version=VERSION, error_correction=constants.ERROR_CORRECT_M, mask_pattern=MASK)
    code.add_data(QRData(payload.encode(), mode=MODE_ALPHA_NUM))
    code.make(fit=False)
    return tuple(tuple(map(bool, row)) for row in code.modules)


def qr_rows(payload: str) -> tuple[int, ...]:
    """As qr_matrix(), each row as a number with the leftmost module in its highest bit."""
    return tuple(int("".join("1" if dark else "0" for dark in row), 2) for row in qr_matrix(payload))


def half_blocks(matrix: Matrix) -> list[str]:
    """Draw a code in half blocks, two rows a line, for light text on a dark ground, inside a narrow white border."""
    quiet = QUIET_MODULES // 2
    width = len(matrix[0]) + 2 * quiet
    blank = (False,) * width
    padded = [(False,) * quiet + row + (False,) * quiet for row in matrix]
    rows = [blank] * quiet + padded + [blank] * quiet
    if len(rows) % 2:
        rows.append(blank)
    return ["".join(map(_half_block, rows[y], rows[y + 1])) for y in range(0, len(rows), 2)]


def _half_block(upper_dark: bool, lower_dark: bool) -> str:
    return (" ", "▀", "▄", "█")[(not upper_dark) + 2 * (not lower_dark)]
