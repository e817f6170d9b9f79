"""The codes on labels (ISO/IEC 18004), in the two forms that hold a label's text, and the one on documents."""

from typing import Final

from msgspec import Struct

from appreg.core.values.label_codes import LONGEST_CODE
from appreg.errors import InputRefused

MASK: Final = 2
"""One mask for every code: choosing the best of eight takes most of the time, and readers make nothing of it."""
QUIET_MODULES: Final = 4
"""Modules kept white on every side."""
ALPHANUMERIC: Final = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"


class CodeForm(Struct, frozen=True):
    """How large a code is, how much of it may be lost, and how many characters of the alphanumeric set it holds."""

    version: int
    level: str
    """H is read where three tenths are hidden, Q where a quarter is, M where about one seventh is."""
    holds: int = LONGEST_CODE

    @property
    def modules(self) -> int:
        """Modules a side, without the quiet zone."""
        return 17 + 4 * self.version


STURDY: Final = CodeForm(2, "H")
"""For rough handling, wherever the label has room."""
SMALL: Final = CodeForm(1, "M")
"""Larger modules in the same box, for the smallest labels."""
SEALED: Final = CodeForm(3, "Q", 47)
"""For the seal of a document, which names its register too."""

Matrix = tuple[tuple[bool, ...], ...]
"""Rows from the top, True is dark; without the quiet zone."""


def with_quiet_zone(modules: int) -> int:
    """Return a code's side in modules with the white border that readers need."""
    return modules + 2 * QUIET_MODULES


def qr_matrix(payload: str, form: CodeForm = STURDY) -> Matrix:
    """Return the code's modules; raises InputRefused for text that does not fit."""
    from qrcode import QRCode, constants  # noqa: PLC0415 - loads only where a code is drawn
    from qrcode.util import MODE_ALPHA_NUM, QRData  # noqa: PLC0415

    if not 0 < len(payload) <= form.holds or not set(ALPHANUMERIC).issuperset(payload):
        raise InputRefused(
            f"Such a code holds 1 to {form.holds} capital letters, digits and signs; {payload!r} is not such a text."
        )
    levels = {"H": constants.ERROR_CORRECT_H, "Q": constants.ERROR_CORRECT_Q, "M": constants.ERROR_CORRECT_M}
    code = QRCode(version=form.version, error_correction=levels[form.level], mask_pattern=MASK)
    code.add_data(QRData(payload.encode(), mode=MODE_ALPHA_NUM))
    code.make(fit=False)
    return tuple(tuple(map(bool, row)) for row in code.modules)


def qr_rows(payload: str, form: CodeForm = STURDY) -> tuple[int, ...]:
    """As qr_matrix(), each row as a number with the leftmost module in its highest bit."""
    return tuple(int("".join("1" if dark else "0" for dark in row), 2) for row in qr_matrix(payload, form))


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
