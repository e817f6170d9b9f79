"""Measures of type: the point, and the typeface's capitals."""

from typing import Final

MM_A_POINT: Final = 25.4 / 72
CAPITALS: Final = 0.711
"""Height of the typeface's capitals, of the type size."""
