"""A screen as a picture: every cell in its colours, as a terminal with DejaVu Sans Mono shows it."""

from pathlib import Path
from typing import Any, Final

from PIL import Image, ImageDraw, ImageFont
from rich.color import ColorType
from rich.color_triplet import ColorTriplet
from rich.segment import Segment
from textual.app import App

from appreg.core.values.text import columns_of

_CELL: Final = (10, 20)
"""Width and height of a cell, pixels."""
_SIZE: Final = 16
"""Of the letters, pixels."""
_COLOURS: Final = 48
"""In the file: it is small, and nothing is lost that the eye would find."""
_INK: Final = ColorTriplet(230, 230, 230)
_GROUND: Final = ColorTriplet(18, 22, 27)


def draw_screen(app: App[Any], file: Path) -> None:
    """Write what stands on the screen; raises OSError where the typeface is not installed."""
    plain, bold = (ImageFont.truetype(f"DejaVuSansMono{kind}.ttf", _SIZE) for kind in ("", "-Bold"))
    width, height = app.size
    picture = Image.new("RGB", (width * _CELL[0], height * _CELL[1]), tuple(_GROUND))
    pen = ImageDraw.Draw(picture)
    for row, strip in enumerate(app.screen._compositor.render_strips()):
        column = 0
        for segment in strip:
            ink, ground = _colours(segment)
            cells = columns_of(segment.text)
            if not cells:
                continue
            place = (column * _CELL[0], row * _CELL[1])
            pen.rectangle((place, (place[0] + cells * _CELL[0] - 1, place[1] + _CELL[1] - 1)), fill=tuple(ground))
            letters = bold if segment.style and segment.style.bold else plain
            for letter in segment.text:
                pen.text((column * _CELL[0], place[1] + 1), letter, font=letters, fill=tuple(ink))
                column += columns_of(letter)
    keep(picture, file)


def keep(picture: Image.Image, file: Path) -> None:
    """Write a picture with few colours, the same bytes each time."""
    few = picture.convert("RGB").quantize(_COLOURS, method=Image.Quantize.MEDIANCUT, dither=Image.Dither.NONE)
    few.save(file, optimize=True)


def _colours(segment: Segment) -> tuple[ColorTriplet, ColorTriplet]:
    style = segment.style
    ink, ground = _INK, _GROUND
    if style is not None:
        if style.color is not None and style.color.type is not ColorType.DEFAULT:
            ink = style.color.get_truecolor()
        if style.bgcolor is not None and style.bgcolor.type is not ColorType.DEFAULT:
            ground = style.bgcolor.get_truecolor()
        if style.reverse:
            ink, ground = ground, ink
        if style.dim:
            ink = ColorTriplet(*((one + other) // 2 for one, other in zip(ink, ground, strict=True)))
    return ink, ground
