"""What the codes on labels say, and the codes themselves (ISO/IEC 18004, version 2, level M)."""

from typing import Final

from appreg.core.uids import Uid, is_uid

PREFIX: Final = "APPREG:"
MODULES: Final = 25
"""Modules a side of a version 2 code."""
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
    from appreg.paper.qr_tables import best_code  # noqa: PLC0415 - qrcode loads only where a code is drawn

    rows = best_code(payload)
    return tuple(tuple(bool(row >> (MODULES - 1 - x) & 1) for x in range(MODULES)) for row in rows)


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
