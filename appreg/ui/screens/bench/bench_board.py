"""The board of the bench: what the item is, its lines, the caution that matters, the outcome."""

import asyncio
from typing import ClassVar

from rich.cells import cell_len
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.checks import Check
from appreg.core.text import shown
from appreg.tasks.open_bench import BenchItem
from appreg.ui.screens.bench.bench_entries import BenchEntries
from appreg.ui.screens.bench.bench_judging import BenchJudgement
from appreg.ui.screens.bench.bench_lines import LineShape, bench_lines
from appreg.ui.screens.bench.bench_view import LineView, line_view
from appreg.ui.screens.bench.bench_words import (
    advice_text,
    caution_for,
    cord_and_fuse,
    earlier_text,
    last_result,
    what_follows,
    what_it_is,
    why_so,
)
from appreg.ui.screens.bench.check_line import CheckLine, ReadingField
from appreg.ui.screens.bench.seen_list import SeenList
from appreg.ui.widgets.outcome_block import OutcomeBlock
from appreg.ui.widgets.place_line import fitted

_ROWS_AROUND = 15
"""Rows that are not lines: place, head, caution, earlier, dates, outcome, keys, and the rules between."""


class BenchBoard(Widget):
    """Shows one item; moves the keys from line to line; decides nothing."""

    DEFAULT_CSS: ClassVar[str] = """
    BenchBoard { layout: vertical; height: 1fr; }
    """

    def compose(self) -> ComposeResult:
        """Lay out the board from top to bottom."""
        yield Static(id="head", markup=False)
        yield VerticalScroll(id="lines", can_focus=False)
        yield Static(id="caution", markup=False)
        yield Static(id="earlier", markup=False)
        yield Static(id="dates", markup=False)
        yield Static(id="advice", markup=False)
        yield OutcomeBlock()

    async def set_out(self, item: BenchItem, entries: BenchEntries, judged: BenchJudgement) -> None:
        """Put up the lines of an item anew."""
        lines = self.query_one("#lines", VerticalScroll)
        await lines.remove_children()
        views = [line_view(line, item, entries, judged) for line in bench_lines(item.required, entries)]
        await lines.mount_all([CheckLine(view) for view in views])
        self._show_head(item)
        self._fit(views)

    def show(
        self, item: BenchItem, entries: BenchEntries, judged: BenchJudgement, *, first_insulation: bool, to_save: str
    ) -> None:
        """Show what has changed in the state of the same lines."""
        for line in self.lines:
            if line.view is not None:
                line.view = line_view(line.view.line, item, entries, judged)
        outcome = self.query_one(OutcomeBlock)
        outcome.outcome = judged.outcome
        outcome.why, outcome.next_key = why_so(judged), to_save
        self.query_one("#dates", Static).update(shown(what_follows(item, entries.kind, judged)))
        advice = self.query_one("#advice", Static)
        advice.update(shown(advice_text(judged)))
        advice.display = bool(judged.judgement.advice)
        insulating = first_insulation and self.current_check is Check.INSULATION
        caution = self.query_one("#caution", Static)
        caution.update(caution_for(judged, first_insulation=insulating))
        caution.set_class(judged.closed_by is not None, "-failed")
        self.query_one("#earlier", Static).update(shown(self._beside(item)))

    @property
    def lines(self) -> list[CheckLine]:
        """The lines from top to bottom."""
        return list(self.query(CheckLine))

    @property
    def current(self) -> CheckLine | None:
        """The line that has the keys; None where the outcome has them."""
        focused = self.screen.focused
        return next((line for line in self.lines if line.door is focused), None)

    @property
    def current_check(self) -> Check | None:
        """The check of the line that has the keys."""
        line = self.current
        return line.view.line.check if line is not None and line.view is not None else None

    @property
    def at_outcome(self) -> bool:
        """The outcome has the keys."""
        return isinstance(self.screen.focused, OutcomeBlock)

    def step(self, by: int) -> None:
        """Give the keys to the next or the last open line; after the last line comes the outcome."""
        stops: list[Widget] = [line.door for line in self.lines if line.door.focusable]
        stops.append(self.query_one(OutcomeBlock))
        focused = self.screen.focused
        place = stops.index(focused) if focused in stops else -1 if by > 0 else len(stops)
        self.screen.set_focus(stops[max(0, min(len(stops) - 1, place + by))])

    def go_to(self, line_id: str) -> None:
        """Give the keys to a line; to the first one where there is no such line."""
        doors = [line.door for line in self.lines if line.line_id == line_id and line.door.focusable]
        self.screen.set_focus(doors[0] if doors else self.lines[0].door)

    def slide(self, by: int) -> None:
        """Move along the visual list."""
        if isinstance(self.screen.focused, SeenList):
            self.screen.focused.move(by)

    async def arrived(self) -> None:
        """Wait until the characters typed before a command have reached their field."""
        field = self.screen.focused
        if isinstance(field, ReadingField):
            reached = asyncio.Event()
            if field.call_later(reached.set):
                await reached.wait()

    def _show_head(self, item: BenchItem) -> None:
        width = max(20, self.app.size.width - 2)
        tag = f"{shown(item.appliance.tag)}  "
        named = f"{tag}{shown(item.appliance.name)} · {last_result(item)}"
        first = _two_ends(named, shown(item.location.name), width)
        second = _two_ends(what_it_is(item.appliance), cord_and_fuse(item.appliance), width)
        content = Content.assemble((first[: len(tag)], "bold $mark"), (first[len(tag) :], "bold"), "\n", second)
        self.query_one("#head", Static).update(content)

    def _beside(self, item: BenchItem) -> str:
        focused = self.screen.focused
        if isinstance(focused, SeenList) and focused.under_cursor is not None:
            return f"{focused.under_cursor.word}: look for {focused.under_cursor.look_for}"
        check = self.current_check
        return earlier_text(item, check) if check is not None else ""

    def _fit(self, views: list[LineView]) -> None:
        rows = sum(2 if view.line.shape is LineShape.READING else 1 for view in views) + 1
        room = self.app.size.height - _ROWS_AROUND
        self.set_class(rows > room, "-tight")
        self.set_class(rows + len(views) <= room, "-roomy")


def _two_ends(left: str, right: str, width: int) -> str:
    right = fitted(right, width // 2)
    left = fitted(left, width - cell_len(right) - 2)
    return f"{left}{' ' * (width - cell_len(left) - cell_len(right))}{right}"
