"""The earlier readings of a check: a row of words, a robust trend, and points for a plot. Nothing here is a verdict."""

from datetime import date
from decimal import Decimal
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from appreg.core.judging.methods import Method, kept_readings, likeness, likeness_kept
from appreg.core.judging.trends import FEWEST_READINGS, Trend, meets_limit_on, trend_of
from appreg.core.records.checks import Check
from appreg.core.records.findings import Finding
from appreg.core.records.kept_records import FindingRecord
from appreg.core.rules.limits import terse
from appreg.core.rules.second_lines import INSULATIONS
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.readings import Comparator, Unit, parse_reading
from appreg.errors import InputRefused
from appreg.tasks.inspecting.open_bench import BenchItem, PastInspection
from appreg.ui.screens.bench.bench_lines import TITLES
from appreg.ui.screens.bench.bench_view import LineView
from appreg.ui.widgets.history_plot import PlotView

MOST_SHOWN: Final = 6
FEWEST_POINTS: Final = 2


class PastReading(Struct, frozen=True, kw_only=True):
    """One earlier reading of a check."""

    on: date
    typed: str
    value: Decimal | None
    """In the unit of the check; None where the display gave no plain figure: `>299` says nothing of a trend."""
    like: Method | None = None
    """How it was measured; None where that cannot be read."""


def past_readings(item: BenchItem, check: Check) -> tuple[PastReading, ...]:
    """Earlier readings of a check that count, oldest first."""
    found = []
    for past in reversed(item.history):
        kept = None if past.superseded or past.taken_back else _kept(past, check)
        if kept is not None and kept.reading:
            value = plain_value(kept.reading, kept.unit)
            typed = kept_readings(kept.method, kept.reading)
            found.append(
                PastReading(
                    on=past.inspection.date, typed=typed, value=value, like=likeness_kept(kept.method, kept.remark)
                )
            )
    return tuple(found)


def alike(readings: tuple[PastReading, ...], method: Method | None) -> tuple[PastReading, ...]:
    """Those that were measured in that way; where nothing is said of it yet, in the way of the latest."""
    wanted = likeness(method) if method is not None else readings[-1].like if readings else None
    return tuple(each for each in readings if wanted is not None and each.like == wanted)


def past_words(item: BenchItem, finding: Finding, method: Method | None = None) -> str:
    """Earlier readings taken in that way, and their trend, in one row; empty where there are none."""
    every = past_readings(item, finding.check)
    readings = alike(every, method)
    if not readings:
        return "earlier readings were measured in another way" if every else ""
    shown = "  ".join(reading.typed for reading in readings[-MOST_SHOWN:])
    return f"earlier {TITLES[finding.check]}, since {readings[0].on.year}:  {shown}   {_trend_words(readings, finding)}"


def last_reading(item: BenchItem, check: Check, method: Method | None = None) -> str:
    """The reading of last time, taken in that way; empty where there is none."""
    readings = alike(past_readings(item, check), method)
    return readings[-1].typed if readings else ""


def with_last_reading(view: LineView, item: BenchItem, method: Method | None = None) -> LineView:
    """The line with the reading of last time, taken in that way, before its note; as it was where there is none."""
    typed = last_reading(item, view.finding.check, method) if view.finding is not None else ""
    last = f"last {typed}" if typed else ""
    return replace(view, note=" · ".join(part for part in (last, view.note) if part)) if last else view


def past_plot(item: BenchItem, finding: Finding, *, today: date, method: Method | None = None) -> PlotView | None:
    """The earlier figures of a check measured in that way, with the one at hand; None where there is no history."""
    readings = alike(past_readings(item, finding.check), method)
    points = tuple((reading.on, float(reading.value)) for reading in readings if reading.value is not None)
    now = plain_value(finding.reading, finding.unit)
    limit = finding.limit_high if finding.limit_high is not None else finding.limit_low
    if not points or len(points) + (now is not None) < FEWEST_POINTS:
        return None
    return PlotView(
        points=points,
        now=(max(today, points[-1][0]), float(now)) if now is not None else None,
        limit=None if limit is None else float(limit),
        limit_words="" if limit is None else terse(limit),
        logarithmic=finding.check in INSULATIONS,
    )


def past_trend(readings: tuple[PastReading, ...], check: Check) -> Trend | None:
    """The trend of the readings that gave a figure; insulation on a logarithmic scale."""
    points = [(reading.on, float(reading.value)) for reading in readings if reading.value is not None]
    return trend_of(points, logarithmic=check in INSULATIONS)


def _trend_words(readings: tuple[PastReading, ...], finding: Finding) -> str:
    trend = past_trend(readings, finding.check)
    if trend is None:
        return f"too few readings for a trend, it takes {FEWEST_READINGS}"
    limit = finding.limit_high if finding.limit_high is not None else finding.limit_low
    meets = meets_limit_on(trend, float(limit)) if limit is not None else None
    end = f", at the limit about {date_words(meets)[3:]}" if meets is not None else ", no end in sight"
    return f"{_slope_words(trend, finding.unit)}{end}"


def _slope_words(trend: Trend, unit: str) -> str:
    if trend.slope_a_year == 0:
        return "steady"
    moving = "rising" if trend.slope_a_year > 0 else "falling"
    if trend.logarithmic:
        return f"{moving} to {10**trend.slope_a_year:.3g} × a year"
    return f"{moving} {abs(trend.slope_a_year):.2g} {unit} a year"


def _kept(past: PastInspection, check: Check) -> FindingRecord | None:
    return next((finding for finding in past.findings if finding.check_name == check.value), None)


def plain_value(typed: str, unit: str) -> Decimal | None:
    """The figure of a plain reading in that unit; None of one with a comparator, or that cannot be read."""
    try:
        reading = parse_reading(typed, Unit(unit))
    except (InputRefused, ValueError):
        return None
    return reading.value if reading.comparator is Comparator.EQUAL else None
