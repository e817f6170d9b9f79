"""Figures in a column with their decimal points below one another."""

import re
from typing import Final

from appreg.paper.page.page_canvas import Ink, PageCanvas, printable
from appreg.paper.page.text_blocks import Block, Line, Mark, stacked

_FIGURE: Final = re.compile(r"((?:[<>≤≥]\s?)?\d+)([.,]\d+)?(?:\s.*)?")
"""What stands before the point, and what comes from it on; then the unit."""
_LONGEST: Final = "≥ 1000"
"""What finds room before the point."""


def at_point(text: str, ink: Ink, width: float, canvas: PageCanvas) -> Block:
    """Set a figure with its decimal point where that of others stands; what is none, or does not fit so, begins at the left edge."""
    line = printable(text)
    whole = _whole_part(line)
    left = canvas.measure(_LONGEST, ink) - canvas.measure(whole, ink)
    block = stacked([Line(text, ink)], width, canvas)
    if not whole or left < 0 or left + canvas.measure(line, ink) > width or len(block.marks) != 1:
        return block
    (mark,) = block.marks
    return Block(block.height, (Mark(x=left, y=mark.y, text=mark.text, ink=ink),))


def _whole_part(text: str) -> str:
    found = _FIGURE.fullmatch(text)
    return found[1] if found else ""
