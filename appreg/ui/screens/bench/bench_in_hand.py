"""What the Bench shows large: the check that has the keys with its reading and limit, or on the outcome what decides it."""

from collections.abc import Sequence
from typing import Final

from appreg.core.records.checks import Check
from appreg.core.values.outcomes import Outcome
from appreg.ui.screens.bench.bench_entries import Mark
from appreg.ui.screens.bench.bench_lines import LineShape
from appreg.ui.screens.bench.bench_view import LineView, SeenWord, Tone
from appreg.ui.widgets.big_letters import as_drawn
from appreg.ui.widgets.large_line import LargeView

_SHORT: Final = {
    Check.VISUAL: "LOOK",
    Check.EARTH_CONTINUITY: "EARTH",
    Check.POLARITY: "POLARITY",
    Check.INSULATION: "INS",
    Check.LEAKAGE: "LEAK",
    Check.UNEARTHED_INSULATION: "INS 2",
    Check.UNEARTHED_CURRENT: "TOUCH",
    Check.FUNCTIONAL_EARTH_INSULATION: "INS FE",
    Check.FUNCTIONAL_EARTH_CURRENT: "FE",
    Check.FUNCTIONAL: "WORKS",
    Check.RCD_HALF: "RCD 1/2",
    Check.RCD_1X: "RCD 1",
    Check.RCD_2X: "RCD 2",
    Check.RCD_5X: "RCD 5",
    Check.RCD_BUTTON: "BUTTON",
    Check.MICROWAVE: "WAVES",
}
"""What a check is called where its name is large."""
_FIGURES: Final = {"applied": "VOLTS", "load": "LOAD"}
_MARKS: Final = {Tone.PASS: "√", Tone.FAIL: "X", Tone.DOUBT: "?", Tone.QUIET: ""}
_STYLES: Final = {Tone.PASS: "bold $pass", Tone.FAIL: "bold $fail", Tone.DOUBT: "bold $doubt", Tone.QUIET: "$ink"}
_SEEN_TONES: Final = {Mark.OK: Tone.PASS, Mark.BAD: Tone.FAIL, None: Tone.QUIET}
_EMPTY: Final = "___"
"""Where a reading is to stand."""


def in_hand(view: LineView, under_cursor: SeenWord | None = None, last: str = "") -> LargeView:
    """A line of the bench, large; `under_cursor` is the word of the visual list, `last` the reading of last time."""
    if view.line.shape is LineShape.LIST:
        return _looking(view, under_cursor)
    figure = view.text.strip()
    if view.line.shape is LineShape.TICK:
        figure = (figure or (view.word if view.tone is not Tone.QUIET else "")).upper()
    empty = not figure
    limit, unit = _parted(view.limit)
    return LargeView(
        title=_FIGURES.get(view.title.strip(), _SHORT[view.line.check]),
        name=view.title.strip().upper(),
        figure=as_drawn(figure) or _EMPTY,
        limit=limit,
        unit=unit,
        mark=_MARKS[view.tone],
        style="$quiet" if empty and view.tone is Tone.QUIET else _STYLES[view.tone],
        last=as_drawn(last),
        words=" ".join(part for part in (view.title.strip(), figure, view.limit, view.word) if part),
    )


def _parted(limit: str) -> tuple[str, str]:
    """A limit and its unit, each without blanks; a unit alone stands for both."""
    figure, _, unit = limit.rpartition(" ")
    return (as_drawn(figure.replace(" ", "")), unit) if figure else (unit, "")


def _looking(view: LineView, under_cursor: SeenWord | None) -> LargeView:
    seen = under_cursor or next((word for word in view.seen if word.mark is Mark.BAD), None)
    done = sum(word.mark is not None for word in view.seen)
    tone = _SEEN_TONES[seen.mark] if seen is not None else view.tone
    word = seen.word if seen is not None else view.word
    return LargeView(
        title=_SHORT[Check.VISUAL],
        name=view.title.upper(),
        figure=word.upper(),
        limit=f"{done}/{len(view.seen)}",
        mark=_MARKS[tone],
        style=_STYLES[tone],
        words=f"{view.title}: {word}, {done} of {len(view.seen)} looked at",
    )


def at_outcome(outcome: Outcome, views: Sequence[LineView], following: str) -> LargeView:
    """What decides the outcome: the line that failed, the first that is missing, or after a pass the tag that comes next."""
    if outcome is Outcome.PASS:
        if not following:
            return LargeView(title="LAST", figure="ITEM", words="the last item of the visit")
        return LargeView(title="NEXT", figure=following, words=f"next {following}")
    deciding = (view for view in views if (view.tone is Tone.FAIL if outcome is Outcome.FAIL else view.waits))
    view = next(deciding, None)
    return LargeView() if view is None else in_hand(view)
