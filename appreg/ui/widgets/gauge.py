"""A gauge drawn to scale: where it is allowed, the limit as a notch, the reading as a pointer."""

import math
from decimal import Decimal
from enum import StrEnum
from itertools import groupby
from operator import attrgetter
from typing import Final

from msgspec import Struct
from textual.content import Content
from textual.reactive import reactive
from textual.widget import Widget

from appreg.core.values.readings import Comparator, Reading, Unit

_LINEAR_ROOM: Final = Decimal("1.5")
"""How far a linear scale runs beyond its upper limit: the notch then stands at two thirds."""
_LOG_START: Final = Decimal("0.01")
_LOG_STOP: Final = Decimal(1000)
_LOG_ROOM: Final = 100


class GaugePart(StrEnum):
    """What one cell of a gauge shows."""

    END = "end"
    ALLOWED = "allowed"
    REFUSED = "refused"
    NOTCH = "notch"
    BAND = "band"
    READING = "reading"


GLYPHS: Final = {
    GaugePart.ALLOWED: "═",
    GaugePart.REFUSED: "·",
    GaugePart.NOTCH: "║",
    GaugePart.BAND: "▒",
}
"""Each part differs in form, so a gauge reads the same without colour; all are in code page 437."""
_STYLES: Final = {
    GaugePart.END: "$secondary",
    GaugePart.ALLOWED: "$success",
    GaugePart.REFUSED: "$error",
    GaugePart.NOTCH: "bold $foreground",
    GaugePart.BAND: "$warning",
    GaugePart.READING: "bold $foreground",
}
"""No classes of its own: Textual would find the styles of each anew whenever the keys come to the line or leave it."""
_POINTERS: Final = {Comparator.EQUAL: "■", Comparator.GREATER: "►", Comparator.LESS: "◄"}


class GaugeCell(Struct, frozen=True):
    """One character of a gauge and what it stands for."""

    glyph: str
    part: GaugePart


class GaugeView(Struct, frozen=True, kw_only=True):
    """All that a gauge draws: the limits as applied, and the reading against them."""

    unit: Unit
    low: Decimal | None = None
    high: Decimal | None = None
    reading: Reading | None = None
    """In the unit of the limits; None: nothing readable yet."""
    band: tuple[Decimal, Decimal] | None = None
    """The reading less and plus its expanded uncertainty."""


class Scale(Struct, frozen=True, kw_only=True):
    """A scale from one figure to another, linear or logarithmic."""

    start: Decimal
    stop: Decimal
    logarithmic: bool

    def fraction(self, value: Decimal) -> float:
        """Where a value stands: 0 at the start, 1 at the stop, beyond them outside."""
        if not self.logarithmic:
            return float((value - self.start) / (self.stop - self.start))
        if value <= 0:
            return -math.inf
        return math.log(float(value / self.start)) / math.log(float(self.stop / self.start))

    def cell(self, value: Decimal, width: int) -> int:
        """The cell, of so many, that holds a value; outside the scale, the nearest end."""
        place = self.fraction(value)
        if place <= 0:
            return 0
        return width - 1 if place >= 1 else min(width - 1, int(place * width))


def scale_for(view: GaugeView) -> Scale | None:
    """The scale on which the limits stand in their usual place; None where there is no limit."""
    if view.unit is Unit.MEGOHM:
        limit = view.low if view.low is not None else view.high
        if limit is None or limit <= 0:
            return None
        return Scale(start=min(_LOG_START, limit / _LOG_ROOM), stop=max(_LOG_STOP, limit * _LOG_ROOM), logarithmic=True)
    limit = view.high if view.high is not None else view.low
    if limit is None or limit <= 0:
        return None
    return Scale(start=Decimal(0), stop=limit * _LINEAR_ROOM, logarithmic=False)


def gauge_cells(view: GaugeView, width: int) -> tuple[GaugeCell, ...]:
    """Draw a gauge of so many cells, both end caps counted; empty where there is no limit or no room."""
    scale = scale_for(view)
    inner = width - 2
    if scale is None or inner < 5:  # noqa: PLR2004 - fewer cells cannot tell one side from the other
        return ()
    cells = [_ground(view, scale, inner, place) for place in range(inner)]
    if view.band is not None:
        for place in range(scale.cell(view.band[0], inner), scale.cell(view.band[1], inner) + 1):
            if cells[place].part is not GaugePart.NOTCH:
                cells[place] = GaugeCell(GLYPHS[GaugePart.BAND], GaugePart.BAND)
    if view.reading is not None:
        place, glyph = _pointer(view, view.reading, scale, inner)
        cells[place] = GaugeCell(glyph, GaugePart.READING)
    return (GaugeCell("├", GaugePart.END), *cells, GaugeCell("┤", GaugePart.END))


def _ground(view: GaugeView, scale: Scale, inner: int, place: int) -> GaugeCell:
    low = None if view.low is None else scale.cell(view.low, inner)
    high = None if view.high is None else scale.cell(view.high, inner)
    if place in {low, high}:
        part = GaugePart.NOTCH
    elif (low is not None and place < low) or (high is not None and place > high):
        part = GaugePart.REFUSED
    else:
        part = GaugePart.ALLOWED
    return GaugeCell(GLYPHS[part], part)


def _pointer(view: GaugeView, reading: Reading, scale: Scale, inner: int) -> tuple[int, str]:
    if reading.value is None:
        return inner - 1, _POINTERS[Comparator.GREATER]
    fraction = scale.fraction(reading.value)
    place = scale.cell(reading.value, inner)
    if fraction > 1:
        return place, _POINTERS[Comparator.GREATER]
    if fraction < 0:
        return place, _POINTERS[Comparator.LESS]
    for limit in (view.low, view.high):
        if limit is not None and limit != reading.value and place == scale.cell(limit, inner):
            place += 1 if reading.value > limit else -1
            break
    return max(0, min(inner - 1, place)), _POINTERS[reading.comparator]


class Gauge(Widget):
    """Shows one reading against its limits; nothing is drawn without a limit."""

    DEFAULT_CSS = "Gauge { height: 1; width: 1fr; }"

    view: reactive[GaugeView | None] = reactive(None)

    def render(self) -> Content:
        """Draw the gauge across the width there is."""
        if self.view is None:
            return Content()
        cells = gauge_cells(self.view, self.size.width)
        runs = groupby(cells, key=attrgetter("part"))
        return Content.assemble(*(("".join(cell.glyph for cell in run), _STYLES[part]) for part, run in runs))
