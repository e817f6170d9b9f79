"""Readings over the years against their limit, drawn with rectangles and words alone; laid out before anything is drawn."""

import math
from collections.abc import Callable, Sequence
from datetime import date
from decimal import Decimal
from typing import Final

from msgspec import Struct

from appreg.core.values.dates_in_words import MONTHS
from appreg.paper.page.page_canvas import Ink, PageCanvas
from appreg.paper.page.text_blocks import Badge, Block, Form, Mark

HEIGHT: Final = 42.0
"""Of a chart with its dates, mm."""
_INK: Final = Ink(7.0)
_STRONG: Final = Ink(7.0, bold=True)
_TOP, _FOOT, _LEFT, _RIGHT = 4.0, 7.0, 0.2, 26.0
_HAIR: Final = 0.12
_LIMIT: Final = 0.5
_MARK: Final = 2.0
"""Side of a point, mm."""
_RANGE: Final = 1.2
_HIGHEST: Final = Decimal("2.5")
"""Of the limit: what lies higher is drawn at the edge, its figure beside it."""
_NEAR: Final = 2.6
"""So near a limit's line no words are set, mm."""
_AIR: Final = Decimal("1.25")
_DECADE: Final = Decimal(3)


class ChartPoint(Struct, frozen=True, kw_only=True):
    """One reading with the limit that was applied to it."""

    on: date
    value: Decimal
    """What was read, in the unit of the limit."""
    least: Decimal
    most: Decimal | None
    """Between what it may lie; None: nothing bounds it."""
    form: Form
    """Frame: passed; bar: failed; dashes: neither."""
    words: str
    low: Decimal | None
    high: Decimal | None
    limit: str
    """The limit in words."""


def history_chart(points: Sequence[ChartPoint], width: float, canvas: PageCanvas) -> Block:
    """Draw readings in the order of their days; the limit steps where it was another."""
    floor = HEIGHT - _FOOT
    across, up = _across(points, width), _up(points, floor)
    frame = Badge(x=_LEFT, y=_TOP, w=width - _LEFT - _RIGHT, h=floor - _TOP, form=Form.FRAME, thickness=_HAIR)
    badges, marks = [frame], []
    for each, until in zip(points, [*points[1:], None], strict=True):
        end = across(until.on) if until else width - _RIGHT
        badges += _limit_lines(each, (_LEFT if each is points[0] else across(each.on), end), up)
        if until is not None and (until.low, until.high) != (each.low, each.high):
            badges += _steps(each, until, across(until.on), up)
            marks.append(_limit_mark(each, across(points[0].on) if each is points[0] else across(each.on), up))
    marks.append(_limit_mark(points[-1], width - _RIGHT + 1.0, up, centred=True))
    for each in points:
        badges += _point(each, across(each.on), up)
    marks += _labels(points, [(across(each.on), _beside(each, up)) for each in points], canvas)
    marks += _days(points, across, canvas)
    return Block(HEIGHT, tuple(marks), tuple(badges))


def _across(points: Sequence[ChartPoint], width: float) -> Callable[[date], float]:
    first, days = points[0].on, (points[-1].on - points[0].on).days
    left, room = _LEFT + 8.0, width - _LEFT - _RIGHT - 16.0
    return lambda day: left + (room * (day - first).days / days if days else room / 2)


def _up(points: Sequence[ChartPoint], floor: float) -> Callable[[Decimal | None], float]:
    """From a figure to its height on the sheet; None and what lies beyond stand at the edge."""
    limits = [bound for each in points for bound in (each.low, each.high) if bound is not None]
    room = floor - _TOP
    if all(each.high is None for each in points):
        known = [value for value in (*limits, *(each.value for each in points)) if value > 0]
        bottom, top = min(known) / _DECADE, max(known) * _DECADE
        span = math.log10(top / bottom)

        def by_decades(value: Decimal | None) -> float:
            if value is None or value >= top:
                return _TOP
            return floor - room * math.log10(max(value, bottom) / bottom) / span

        return by_decades
    top = min(max(limits) * _HIGHEST, max([*limits, *(each.value for each in points)]) * _AIR)
    return lambda value: _TOP if value is None or value >= top else floor - room * float(value / top)


def _limit_lines(each: ChartPoint, ends: tuple[float, float], up: Callable[[Decimal | None], float]) -> list[Badge]:
    start, end = ends
    return [
        Badge(x=start, y=up(bound) - _LIMIT / 2, w=end - start, h=_LIMIT, form=Form.BAR)
        for bound in (each.low, each.high)
        if bound is not None and end > start
    ]


def _steps(each: ChartPoint, until: ChartPoint, x: float, up: Callable[[Decimal | None], float]) -> list[Badge]:
    pairs = ((each.low, until.low), (each.high, until.high))
    heights = [sorted((up(one), up(other))) for one, other in pairs if one is not None and other is not None]
    return [
        Badge(x=x - _LIMIT / 2, y=top, w=_LIMIT, h=foot - top, form=Form.BAR) for top, foot in heights if foot > top
    ]


def _limit_mark(each: ChartPoint, x: float, up: Callable[[Decimal | None], float], *, centred: bool = False) -> Mark:
    y = up(each.high if each.high is not None else each.low)
    return Mark(x=x, y=y + (0.9 if centred else -0.8), text=each.limit, ink=_STRONG)


def _point(each: ChartPoint, x: float, up: Callable[[Decimal | None], float]) -> list[Badge]:
    y, side = up(each.value), _MARK
    shapes = []
    if each.least != each.most:
        top, foot = up(each.most), up(each.least)
        if foot > top:
            shapes.append(Badge(x=x - _RANGE / 2, y=top, w=_RANGE, h=foot - top, form=Form.DASHES, thickness=0.2))
    shapes.append(Badge(x=x - side / 2, y=y - side / 2, w=side, h=side, form=each.form, thickness=0.4))
    return shapes


def _beside(each: ChartPoint, up: Callable[[Decimal | None], float]) -> float:
    """The baseline of a reading: above its point, or beneath it where the edge or a limit's line is in the way."""
    y = up(each.value)
    above, beneath = y - 1.8, y + 4.2
    lines = [up(bound) for bound in (each.low, each.high) if bound is not None]
    crossed = any(abs(above - 0.9 - line) < _NEAR - 0.9 for line in lines)
    return beneath if above < _TOP + _NEAR or (crossed and beneath < HEIGHT - _FOOT) else above


def _labels(points: Sequence[ChartPoint], places: Sequence[tuple[float, float]], canvas: PageCanvas) -> list[Mark]:
    """The readings beside their points, from the newest back, as far as they leave each other room; failures always."""
    marks: list[Mark] = []
    edge = math.inf
    for each, (x, y) in reversed(list(zip(points, places, strict=True))):
        failed = each.form is Form.BAR
        ink = _STRONG if failed else _INK
        wide = canvas.measure(each.words, ink)
        left = x - wide / 2 if each.least == each.most else max(x - wide - _MARK, _LEFT + 0.5)
        if left + wide + 1.0 <= edge or failed:
            edge = min(edge, left)
            marks.append(Mark(x=left, y=y, text=each.words, ink=ink))
    return marks


def _days(points: Sequence[ChartPoint], across: Callable[[date], float], canvas: PageCanvas) -> list[Mark]:
    """Month and year beneath the points, from the newest back, as far as they leave each other room."""
    marks: list[Mark] = []
    edge = math.inf
    for each in reversed(points):
        x, day = across(each.on), f"{MONTHS[each.on.month - 1]} {each.on.year}"
        wide = canvas.measure(day, _INK)
        if x + wide / 2 + 1.0 <= edge:
            edge = x - wide / 2
            marks.append(Mark(x=x - wide / 2, y=HEIGHT - _FOOT + 3.6, text=day, ink=_INK))
    return marks
