"""A failure rate drawn to scale: the confidence band, the rate observed, and the target as a notch."""

from enum import StrEnum
from typing import ClassVar, Final

from msgspec import Struct
from textual.content import Content
from textual.reactive import reactive
from textual.widget import Widget

SCALES: Final = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
"""Ends of the scale, %; the first that shows the target well and the band if it can."""
_ROOM: Final = 2.0
"""The scale reaches at least so many times the target."""
_WIDEST: Final = 10.0
"""And at most so many times, however wide the band."""
_END: Final = 7


class BandPart(StrEnum):
    """What one cell of the band shows."""

    GROUND = "ground"
    BAND = "band"
    RATE = "rate"
    TARGET = "target"
    BEYOND = "beyond"


class BandView(Struct, frozen=True, kw_only=True):
    """What a band shows; every figure in %."""

    rate: float
    lower: float
    upper: float
    target: float


Cell = tuple[str, BandPart]


def scale_of(view: BandView) -> float:
    """The end of the scale, %."""
    wanted = min(max(view.upper, view.target * _ROOM), view.target * _WIDEST)
    return next((end for end in SCALES if end >= wanted), SCALES[-1])


def band_cells(view: BandView, width: int) -> list[Cell]:
    """Draw the band from 0 % to the end of the scale; an arrow where it goes on."""
    inner = width - 2 * _END
    if inner < len(SCALES):
        return []
    end = scale_of(view)

    def at(percent: float) -> int:
        return min(int(percent / end * inner), inner - 1)

    cells: list[Cell] = [("·", BandPart.GROUND)] * inner
    for place in range(at(view.lower), at(view.upper) + 1):
        cells[place] = ("═", BandPart.BAND)
    cells[at(view.target)] = ("║", BandPart.TARGET)
    if view.upper > end:
        cells[-1] = ("►", BandPart.BEYOND)
    if view.rate <= end:
        cells[at(view.rate)] = ("■", BandPart.RATE)
    left = "0 % ".rjust(_END)
    right = f" {end:g} %".ljust(_END)
    return [(left, BandPart.GROUND), *cells, (right, BandPart.GROUND)]


class RateBand(Widget):
    """Shows one failure rate with its limits against the target."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {f"rate-band--{part.value}" for part in BandPart}
    DEFAULT_CSS: ClassVar[str] = """
    RateBand { height: 1; width: 1fr; }
    RateBand > .rate-band--ground { color: $secondary; }
    RateBand > .rate-band--band { color: $primary; }
    RateBand > .rate-band--beyond { color: $primary; text-style: bold; }
    RateBand > .rate-band--rate { color: $foreground; text-style: bold; }
    RateBand > .rate-band--target { color: $warning; text-style: bold; }
    """

    view: reactive[BandView | None] = reactive(None)

    def render(self) -> Content:
        """Draw it across the width there is."""
        if self.view is None:
            return Content()
        cells = band_cells(self.view, self.content_size.width)
        return Content.assemble(*((glyph, self.get_visual_style(f"rate-band--{part.value}")) for glyph, part in cells))
