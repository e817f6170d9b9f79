"""Earlier readings over the years against their limit, a few rows high."""

import math
from collections.abc import Sequence
from datetime import date
from enum import StrEnum
from typing import ClassVar, Final

from msgspec import Struct
from textual.content import Content
from textual.reactive import reactive
from textual.widget import Widget

ROWS: Final = 8
"""Six for the readings, one for the axis, one for the years."""
_AREA: Final = ROWS - 2
_LABEL: Final = 10


class PlotPart(StrEnum):
    """What one character of the plot shows."""

    GROUND = "ground"
    LIMIT = "limit"
    POINT = "point"
    NOW = "now"


class PlotView(Struct, frozen=True, kw_only=True):
    """What a plot shows."""

    points: tuple[tuple[date, float], ...]
    """Earlier readings, oldest first."""
    now: tuple[date, float] | None
    """The reading at hand."""
    limit: float | None
    limit_words: str
    logarithmic: bool


def plot_cells(view: PlotView, width: int) -> list[list[tuple[str, PlotPart]]]:
    """Draw the plot in rows of characters; empty where there is nothing to draw or no room."""
    every = [*view.points, *([view.now] if view.now else [])]
    inner = width - _LABEL - 1
    if len(every) < 2 or inner < 10:  # noqa: PLR2004 - one point is no history, and fewer cells are no picture
        return []
    rows = [[(" ", PlotPart.GROUND)] * inner for _ in range(_AREA)]
    heights = [value for _, value in every] + ([view.limit] if view.limit is not None else [])
    first, last = every[0][0], max(day for day, _ in every)
    if view.limit is not None:
        rows[_row(view.limit, heights, view.logarithmic)] = [("─", PlotPart.LIMIT)] * inner
    for day, value in view.points:
        rows[_row(value, heights, view.logarithmic)][_column(day, first, last, inner)] = ("o", PlotPart.POINT)
    if view.now is not None:
        rows[_row(view.now[1], heights, view.logarithmic)][_column(view.now[0], first, last, inner)] = (
            "■",
            PlotPart.NOW,
        )
    limit_row = None if view.limit is None else _row(view.limit, heights, view.logarithmic)
    drawn = [_label(view.limit_words if place == limit_row else "") + row for place, row in enumerate(rows)]
    axis = _label("") + [("─", PlotPart.GROUND)] * inner
    return [*drawn, axis, _years(first, last, inner)]


def _row(value: float, heights: Sequence[float], logarithmic: bool) -> int:
    """The row of a value: the largest at the top, nothing below zero or the smallest decade."""
    low = min(heights) / 2 if logarithmic else 0.0
    high = max(heights) * (2 if logarithmic else 1)
    if logarithmic:
        place = math.log(max(value, low) / low) / math.log(high / low) if low > 0 else 0.0
    else:
        place = value / high if high > 0 else 0.0
    return min(_AREA - 1, max(0, _AREA - 1 - int(place * _AREA)))


def _column(day: date, first: date, last: date, width: int) -> int:
    span = (last - first).days
    return width - 1 if span == 0 else round((day - first).days / span * (width - 1))


def _label(text: str) -> list[tuple[str, PlotPart]]:
    return [(character, PlotPart.GROUND) for character in f"{text[:_LABEL]:>{_LABEL}} "]


def _years(first: date, last: date, width: int) -> list[tuple[str, PlotPart]]:
    row = [" "] * width
    starts = [_column(max(first, date(year, 1, 1)), first, last, width) for year in range(first.year, last.year + 1)]
    free = width + 1
    for year, start in reversed(list(enumerate(starts, first.year))):
        place = min(start, width - 4)
        if place + 5 <= free:
            row[place : place + 4] = str(year)
            free = place
    return _label("") + [(character, PlotPart.GROUND) for character in row]


class HistoryPlot(Widget):
    """A few rows of earlier readings; takes no room where there is nothing to show."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"plot--ground", "plot--limit", "plot--point", "plot--now"}
    DEFAULT_CSS: ClassVar[str] = f"""
    HistoryPlot {{ height: {ROWS}; }}
    HistoryPlot > .plot--ground {{ color: $text-muted; }}
    HistoryPlot > .plot--limit {{ color: $error; }}
    HistoryPlot > .plot--point {{ color: $foreground; }}
    HistoryPlot > .plot--now {{ color: $foreground; text-style: bold reverse; }}
    """

    view: reactive[PlotView | None] = reactive(None)

    def render(self) -> Content:
        """Draw the plot across the width there is."""
        rows = [] if self.view is None else plot_cells(self.view, self.size.width)
        lines = [
            Content.assemble(*((glyph, self.get_visual_style(f"plot--{part}")) for glyph, part in row)) for row in rows
        ]
        return Content("\n").join(lines)
