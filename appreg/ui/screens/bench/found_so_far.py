"""What a large terminal shows beneath the lines: what was found of the item each time, plots of it, and what to look for."""

from collections.abc import Callable, Iterator, Sequence
from itertools import groupby
from operator import itemgetter
from typing import ClassVar, Final

from msgspec import Struct
from rich.cells import cell_len
from textual.content import Content
from textual.reactive import reactive
from textual.widget import Widget

from appreg.core.judging.methods import Method, kept_readings, likeness, likeness_kept
from appreg.core.records.checks import Check
from appreg.core.records.kept_records import FindingRecord
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.outcomes import CheckResult, Outcome
from appreg.core.values.text import shown
from appreg.tasks.inspecting.open_bench import BenchItem, PastInspection
from appreg.ui.screens.bench.bench_lines import LineShape
from appreg.ui.screens.bench.bench_view import LineView, SeenWord, Tone
from appreg.ui.screens.bench.bench_words import fuse_found
from appreg.ui.screens.bench.item_past import past_plot
from appreg.ui.screens.bench.seen_list import MARKS
from appreg.ui.shell.place_line import fitted
from appreg.ui.widgets.history_plot import ROWS as PLOT_ROWS
from appreg.ui.widgets.history_plot import PlotPart, PlotView, plot_cells
from appreg.ui.widgets.labelled_rule import labelled_rule

LEAST_ROWS: Final = 6
"""Rows below which nothing is shown: a head, a few lines and a blank one."""
_TITLE: Final = 17
_DAY: Final = 14
_PLOT_GAP: Final = 3
_LEAST_PLOT: Final = 40
"""Cells without which a plot is not drawn."""
_NONE: Final = ("–", "$quiet")
_TONES: Final = {Tone.PASS: "$pass", Tone.FAIL: "bold $fail", Tone.DOUBT: "$doubt", Tone.QUIET: "$quiet"}
_OUTCOMES: Final = {Outcome.PASS: "$pass", Outcome.FAIL: "bold $fail", Outcome.INCOMPLETE: "$doubt"}
_PARTS: Final = {
    PlotPart.GROUND: "$quiet",
    PlotPart.LIMIT: "$fail",
    PlotPart.POINT: "$ink",
    PlotPart.NOW: "bold reverse $ink",
}

Said = tuple[str, str]
"""Some words and their style."""


class FoundLine(Struct, frozen=True, kw_only=True):
    """One check through the years."""

    title: str
    before: tuple[Said, ...]
    """Of each earlier inspection, oldest first."""
    now: Said
    limit: str
    """That of today."""


class FoundView(Struct, frozen=True, kw_only=True):
    """Everything that is known of the item at hand."""

    days: tuple[str, ...] = ()
    """Of each earlier inspection, oldest first."""
    lines: tuple[FoundLine, ...] = ()
    plots: tuple[tuple[str, PlotView], ...] = ()
    """Each with what it shows."""
    seen: tuple[SeenWord, ...] = ()
    fuse: str = ""
    """Beside the word for the fuse, the one on record."""
    looking: bool = False
    """The visual list has the keys: what to look for comes first."""
    otherwise: bool = False
    """A reading in brackets was taken in another way than today's."""


MethodOf = Callable[[Check], Method]


def found_view(
    item: BenchItem, outcome: Outcome, views: Sequence[LineView], method_of: MethodOf, *, looking: bool
) -> FoundView:
    """What is known of an item, with what its lines say now; `method_of` tells how a check is measured today."""
    past = [each for each in reversed(item.history) if not (each.superseded or each.taken_back)]
    asked = [view for view in views if view.line.shape is not LineShape.FIGURE]
    ways = {view.line.check: likeness(method_of(view.line.check)) for view in asked if view.finding is not None}
    lines = [_line(view, past, ways.get(view.line.check)) for view in asked]
    whole = FoundLine(
        title="",
        before=tuple(_outcome(each.inspection.outcome) for each in past),
        now=_outcome(outcome),
        limit="",
    )
    seen = next((view.seen for view in views if view.seen), ())
    fuses = (fuse_found(item, word.line) for word in seen)
    return FoundView(
        days=tuple(date_words(each.inspection.date) for each in past),
        lines=(whole, *lines),
        plots=tuple(_plots(item, views, method_of)) if past else (),
        seen=seen,
        fuse=next(filter(None, fuses), ""),
        looking=looking,
        otherwise=any(said.startswith("(") for line in lines for said, _ in line.before),
    )


def _line(view: LineView, past: Sequence[PastInspection], way: Method | None) -> FoundLine:
    check = view.line.check.value
    kept = (next((each for each in one.findings if each.check_name == check), None) for one in past)
    now = view.text.strip() if view.line.shape is LineShape.READING else ""
    words = " ".join(part for part in (now, view.word if not now or view.tone is not Tone.PASS else "") if part)
    limit = view.limit if view.finding is not None else ""
    return FoundLine(
        title=view.title,
        before=tuple(_found(each, way) for each in kept),
        now=(words, _TONES[view.tone]),
        limit=limit,
    )


def _found(kept: FindingRecord | None, way: Method | None) -> Said:
    """What was found that time; a reading that was taken in another way stands in brackets."""
    if kept is None or kept.finding == CheckResult.NOT_DONE:
        return _NONE
    reading = kept_readings(kept.method, kept.reading)
    if reading and way is not None and likeness_kept(kept.method, kept.remark) != way:
        reading = f"({reading})"
    if kept.finding == CheckResult.FAIL:
        return f"{reading} FAIL".strip(), "bold $fail"
    passed = kept.finding == CheckResult.PASS
    return reading or ("ok" if passed else kept.finding), "" if passed else "$doubt"


def _outcome(outcome: Outcome) -> Said:
    word = outcome.value
    return word.upper() if outcome is Outcome.FAIL else word, _OUTCOMES[outcome]


def _plots(item: BenchItem, views: Sequence[LineView], method_of: MethodOf) -> Iterator[tuple[str, PlotView]]:
    for view in views:
        if view.finding is not None:
            plot = past_plot(item, view.finding, today=item.today, method=method_of(view.line.check))
            if plot is not None:
                yield f"{view.title.strip()}, {view.line.unit}", plot


def found_rows(view: FoundView, width: int, height: int) -> list[Content]:
    """Draw as much as there are rows for, what is nearest to the hand first; a part is drawn whole or not at all."""
    table, plots, looked = _table(view, width), _plot_rows(view, width), _looked(view, width)
    parts = (looked, table, plots) if view.looking or not view.days else (table, plots, looked)
    rows: list[Content] = []
    for part in parts:
        if part and len(rows) + len(part) <= height:
            rows += [*part, Content("")]
    return rows[:height]


def _table(view: FoundView, width: int) -> list[Content]:
    """A column for each day there is room for, the latest beside today, and today's limits."""
    if not view.days:
        return []
    fit = max((width - _TITLE - 2 * _DAY) // _DAY, 1)
    brackets = "in brackets: measured in another way" if view.otherwise else ""
    head = ("", [*((day, "$quiet") for day in view.days[-fit:]), ("today", "bold")], "limit today")
    lines = [(line.title, [*line.before[-fit:], line.now], line.limit) for line in view.lines]
    rows = [_columns(*line) for line in (head, *lines)]
    return [labelled_rule("found so far", brackets, width, style="$quiet"), *rows]


def _columns(title: str, said: Sequence[Said], limit: str) -> Content:
    cells = [(_padded(words, _DAY), style) for words, style in said]
    return Content.assemble(_padded(title, _TITLE), *cells, (shown(limit), "$quiet"))


def _padded(words: str, width: int) -> str:
    text = fitted(shown(words), width - 1)
    return text + " " * (width - cell_len(text))


def _plot_rows(view: FoundView, width: int) -> list[Content]:
    """As many plots side by side as there is room for."""
    count = min(len(view.plots), (width + _PLOT_GAP) // (_LEAST_PLOT + _PLOT_GAP))
    if not count:
        return []
    each = (width - _PLOT_GAP * (count - 1)) // count
    drawn = [[labelled_rule(words, "", each, style="$quiet"), *_plot(plot, each)] for words, plot in view.plots[:count]]
    gap = Content(" " * _PLOT_GAP)
    return [gap.join(row) for row in zip(*drawn, strict=True)]


def _plot(plot: PlotView, width: int) -> list[Content]:
    rows = plot_cells(plot, width) or [[] for _ in range(PLOT_ROWS)]
    runs = (
        [("".join(sign for sign, _ in run), _PARTS[part]) for part, run in groupby(row, itemgetter(1))] for row in rows
    )
    return [Content.assemble(*run) for run in runs]


def _looked(view: FoundView, width: int) -> list[Content]:
    """Each thing to look at, and what to look for."""
    if not view.seen:
        return []
    fuse = f"fuse: {view.fuse.strip(' ()')}" if view.fuse else ""
    rows = [labelled_rule("what to look for", fuse, width, style="$quiet")]
    for word in view.seen:
        mark, style = MARKS[word.mark]
        name = _padded(word.word, _TITLE - 2)
        rows.append(
            Content.assemble((f"{mark} ", style), (name, ""), (fitted(shown(word.look_for), width - _TITLE), "$quiet"))
        )
    return rows


class FoundSoFar(Widget):
    """Shows what is known of the item in the rows it is given."""

    DEFAULT_CSS: ClassVar[str] = """
    FoundSoFar { height: 0; padding: 0 1; display: none; }
    """

    view: reactive[FoundView] = reactive(FoundView())

    def give(self, rows: int) -> None:
        """Take so many rows; with too few of them nothing is shown."""
        self.display = rows >= LEAST_ROWS
        self.styles.height = max(rows, 0)

    def render(self) -> Content:
        """Draw what fits."""
        return Content("\n").join(found_rows(self.view, self.content_size.width, self.content_size.height))
