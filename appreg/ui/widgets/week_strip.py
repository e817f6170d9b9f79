"""A plan at a glance: a line a year, a cell a week, a bar for the work of each week with a visit."""

from datetime import date
from enum import StrEnum
from typing import ClassVar, Final

from msgspec import Struct
from textual.content import Content
from textual.reactive import reactive
from textual.widget import Widget

from appreg.core.values.dates_in_words import MONTHS

BARS: Final = "▁▂▃▄▅▆▇█"
IDLE: Final = "·"
WEEKS: Final = 53
LABEL: Final = 6
_WEEK: Final = 7


class WeekPart(StrEnum):
    """What one cell of the strip shows."""

    GROUND = "ground"
    LABEL = "label"
    IDLE = "idle"
    WORK = "work"
    OVERFULL = "overfull"
    CHOSEN = "chosen"


class VisitMark(Struct, frozen=True):
    """One visit as the strip sees it."""

    day: date
    minutes: int
    overfull: bool
    """Longer than the working time of its day."""


class WeekView(Struct, frozen=True, kw_only=True):
    """What a strip shows."""

    start: date
    end: date
    visits: tuple[VisitMark, ...]
    chosen: date | None = None


Cell = tuple[str, WeekPart]


def week_rows(view: WeekView) -> list[list[Cell]]:
    """Draw the months, then a row for each calendar year of the plan; bars to the scale of the fullest week."""
    work: dict[tuple[int, int], int] = {}
    overfull: set[tuple[int, int]] = set()
    for mark in view.visits:
        place = _place(mark.day)
        work[place] = work.get(place, 0) + mark.minutes
        if mark.overfull:
            overfull.add(place)
    most = max(work.values(), default=0)
    chosen = _place(view.chosen) if view.chosen else None
    first, last = _place(view.start), _place(view.end)
    rows = [_months()]
    for year in range(view.start.year, view.end.year + 1):
        cells: list[Cell] = [(f"{year} ".rjust(LABEL), WeekPart.LABEL)]
        for week in range(WEEKS):
            at = (year, week)
            part = WeekPart.OVERFULL if at in overfull else WeekPart.WORK if at in work else WeekPart.IDLE
            glyph = BARS[(work[at] * len(BARS) - 1) // most] if work.get(at) else IDLE
            if not first <= at <= last:
                glyph, part = " ", WeekPart.GROUND
            cells.append((glyph, WeekPart.CHOSEN if at == chosen else part))
        rows.append(cells)
    return rows


def _place(day: date) -> tuple[int, int]:
    return day.year, (day.timetuple().tm_yday - 1) // _WEEK


def _months() -> list[Cell]:
    line = [" "] * (LABEL + WEEKS)
    for month, name in enumerate(MONTHS, 1):
        at = LABEL + _place(date(2027, month, 1))[1]
        line[at : at + len(name)] = name
    return [("".join(line), WeekPart.LABEL)]


class WeekStrip(Widget):
    """Shows the weeks of a plan; the week of the chosen visit stands out."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {f"week-strip--{part.value}" for part in WeekPart}
    DEFAULT_CSS: ClassVar[str] = """
    WeekStrip { height: auto; width: 1fr; padding: 0 1; }
    WeekStrip > .week-strip--label { color: $secondary; }
    WeekStrip > .week-strip--idle { color: $secondary; }
    WeekStrip > .week-strip--work { color: $primary; }
    WeekStrip > .week-strip--overfull { color: $error; text-style: bold; }
    WeekStrip > .week-strip--chosen { color: $foreground; text-style: bold reverse; }
    """

    view: reactive[WeekView | None] = reactive(None, layout=True)

    def render(self) -> Content:
        """Draw every year."""
        if self.view is None:
            return Content()
        lines = [
            Content.assemble(*((glyph, self.get_visual_style(f"week-strip--{part.value}")) for glyph, part in row))
            for row in week_rows(self.view)
        ]
        return Content("\n").join(lines)

    def get_content_height(self, *_args: object) -> int:
        """The months, and a line a year."""
        return 0 if self.view is None else 2 + self.view.end.year - self.view.start.year
