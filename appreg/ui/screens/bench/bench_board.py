"""The board of the bench: what the item is, its lines, the caution that matters, the outcome."""

import asyncio
from collections.abc import Iterable, Mapping
from functools import partial
from itertools import takewhile
from typing import ClassVar, Final

from msgspec.structs import replace
from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.geometry import Size
from textual.reactive import Reactive
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.records.checks import Check
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid
from appreg.ui.screens.bench.bench_in_hand import at_outcome, in_hand
from appreg.ui.screens.bench.bench_judging import method_at_hand
from appreg.ui.screens.bench.bench_lines import BenchLine, LineShape, bench_lines
from appreg.ui.screens.bench.bench_room import room_classes, rows_for_lines
from appreg.ui.screens.bench.bench_state import BenchShown
from appreg.ui.screens.bench.bench_view import LineView, line_view
from appreg.ui.screens.bench.bench_walk import Walk
from appreg.ui.screens.bench.bench_why import why_forms
from appreg.ui.screens.bench.bench_words import (
    IF_FAILED,
    advice_text,
    caution_for,
    cord_and_fuse,
    fuse_found,
    last_result,
    standing_words,
    what_follows,
    what_it_is,
)
from appreg.ui.screens.bench.check_line import CheckLine
from appreg.ui.screens.bench.found_so_far import FoundSoFar, found_view
from appreg.ui.screens.bench.item_head import HeadView, ItemHead
from appreg.ui.screens.bench.item_past import last_reading, past_plot, past_words, with_last_reading
from appreg.ui.screens.bench.last_time import last_time, last_time_page
from appreg.ui.screens.bench.seen_list import SeenList
from appreg.ui.screens.bench.visit_walk import VisitWalk
from appreg.ui.shell.command_screen import CommandScreen
from appreg.ui.shell.key_words import BEGINS
from appreg.ui.widgets.history_plot import HistoryPlot
from appreg.ui.widgets.labelled_rule import labelled_rule
from appreg.ui.widgets.large_line import LargeLine, LargeView
from appreg.ui.widgets.outcome_block import OutcomeBlock
from appreg.ui.widgets.said import Said

_BESIDE_MOST: Final = 60
"""Cells that the column beside the lines may have."""
_MAY_GROW: Final = 3
"""Rows that cautions, advice and a note in doubt may take beyond one each."""
_LOOK_AGAIN: Final = 0.05
"""Seconds after which a field that has not answered is looked at: it may have gone."""
_ROOM_FOR_LAST = 100
"""Columns from which the last reading stands on every line; narrower it is told of the line that has the keys."""


def _tell(reached: "asyncio.Future[None]") -> None:
    if not reached.done():
        reached.set_result(None)


class Lines(VerticalScroll, can_focus=False):
    """Holds the lines, and scrolls where they have no room."""

    virtual_size = Reactive(Size(0, 0), repaint=False)
    """Textual lays the screen out once more where laying it out has changed a size; a scroll bar that comes or goes still does."""


class BenchBoard(Widget):
    """Shows one item; moves the keys from line to line; decides nothing."""

    DEFAULT_CSS: ClassVar[str] = """
    BenchBoard { layout: horizontal; height: 1fr; }
    """
    _told: tuple[object, ...] = ()
    """What the lines that stand follow from."""
    _told_judged: tuple[object, ...] = ()
    """What the words beneath them follow from."""

    def __init__(self) -> None:
        """Start with nothing said."""
        super().__init__()
        self._words: dict[str, str] = {}
        """By part: what it says now."""
        self._told_last: tuple[object, ...] = ()
        """What the page of the last time follows from."""
        self._after_pass = ""
        """What keeping the item that stands here brings, should it pass."""
        self._before_mains: Mapping[str, str] = {}
        """By check that needs mains: the caution before it."""

    def compose(self) -> ComposeResult:
        """The item, its lines and what they come to; beside them, where there is room, the walk and the last time."""
        with Vertical(id="main"):
            yield ItemHead()
            yield Lines(id="lines")
            yield FoundSoFar()
            yield Said(id="caution", grows=True)
            yield Said(id="earlier", grows=True)
            yield Said(id="dates")
            yield Said(id="advice", grows=True)
            with Vertical(id="strip"):
                yield LargeLine()
                yield OutcomeBlock()
        with Vertical(id="beside"):
            yield VisitWalk()
            yield Static(labelled_rule("last time", "", _BESIDE_MOST, style="$quiet"), id="last-title")
            yield Static(id="last-time", markup=False)
            yield HistoryPlot()

    def on_resize(self) -> None:
        """Choose what has room on a terminal of this size."""
        for name, held in room_classes(self.app.size).items():
            self.screen.set_class(held, name)
        self._fit()

    async def set_out(self, bench: BenchShown, *, same: bool) -> None:
        """Put up the lines of an item anew; `same`: it is the item that stands here."""
        views = self._views(bench_lines(bench.item, bench.entries), bench)
        standing = self.lines
        alike = takewhile(lambda pair: pair[0].shape is pair[1].line.shape, zip(standing, views, strict=False))
        kept = len(list(alike))
        await self.query_one("#lines", VerticalScroll).remove_children(standing[kept:])
        for line, view in zip(standing, views[:kept], strict=False):
            line.take_up(view, same=same)
        await self.query_one("#lines", VerticalScroll).mount_all([CheckLine(view) for view in views[kept:]])
        self._told = self._behind_lines(bench)
        self._after_pass = what_follows(bench.item, bench.entries.kind)
        mains = bench.item.rules.book.find("inspection.energised")
        self._before_mains = dict.fromkeys(mains.words, f"Caution {mains.condition}.") if mains else {}
        self._show_item(bench)
        self._fit()

    def show(self, bench: BenchShown) -> None:
        """Show what has changed in the state of the same lines."""
        self._show_judged(bench)
        self.query_one(OutcomeBlock).next_key = self._in_present_keys(bench.next_key)
        check = self.current_check
        insulating = bench.first_insulation and check is Check.INSULATION
        closed = bench.judged.closing is not None
        energising = self._before_mains.get(check or "", "")
        caution = caution_for(bench.judged, first_insulation=insulating, energising=energising)
        standing = standing_words(bench.actions, bench.item.stated_failure)
        caution = f"{caution} {standing}".strip() if bench.entries.carried else caution or standing
        self._say("#caution", caution)
        self.query_one("#caution").set_class(closed or bool(standing), "-failed")
        self._show_past(bench)
        self._show_found(bench)
        self.query_one(LargeLine).view = self._in_hand(bench)

    def _in_hand(self, bench: BenchShown) -> LargeView:
        """The line that has the keys, large; on the outcome what decides it."""
        line = self.current
        if line is None or line.view is None:
            views = [each.view for each in self.lines if each.view is not None]
            return at_outcome(bench.judged.outcome, views, bench.following)
        seen = line.door.under_cursor if isinstance(line.door, SeenList) else None
        last = ""
        if line.view.finding is not None and bench.item.history:
            check = line.view.finding.check
            last = last_reading(bench.item, check, method_at_hand(bench.item, bench.entries, check))
        return in_hand(line.view, seen, last)

    def _show_judged(self, bench: BenchShown) -> None:
        """Show what follows from the item and its entries alone: nothing new while these are the same."""
        behind = self._behind_lines(bench)
        if behind == self._told_judged:
            return
        lines = [line for line in self.lines if line.view is not None]
        if behind != self._told:
            views = self._views([line.view.line for line in lines if line.view is not None], bench)
            for line, view in zip(lines, views, strict=True):
                line.view = view
        for line in lines:
            line.leave(bench.keys)
        self._told = self._told_judged = behind
        outcome = self.query_one(OutcomeBlock)
        outcome.outcome, outcome.why = bench.judged.outcome, self._why(bench)
        self._say("#dates", self._follows(bench))
        self._say("#advice", advice_text(bench.judged))

    def _behind_lines(self, bench: BenchShown) -> tuple[object, ...]:
        """What the lines follow from: while all of it is the same, they need not be made anew."""
        return bench.item, bench.entries, bench.judged, bench.stated, bench.keys, self.app.size

    def _follows(self, bench: BenchShown) -> str:
        """What keeping the item brings."""
        return IF_FAILED if bench.judged.outcome is Outcome.FAIL else self._after_pass

    def _why(self, bench: BenchShown) -> tuple[str, ...]:
        return tuple(map(self._in_present_keys, why_forms(bench.judged, bench.item, bench.entries)))

    def _say(self, part: str, text: str) -> None:
        text = self._in_present_keys(text)
        if self._words.get(part) == text:
            return
        self._words[part] = text
        said = self.query_one(part, Said)
        said.say(text)
        said.set_class(not text, "-empty")

    def _in_present_keys(self, text: str) -> str:
        if BEGINS not in text or not isinstance(self.screen, CommandScreen):
            return text
        return self.screen.shell.in_present_keys(text)

    def _views(self, lines: Iterable[BenchLine], bench: BenchShown) -> list[LineView]:
        views = [line_view(line, bench.item, bench.entries, bench.judged, bench.stated) for line in lines]
        return [self._as_here(view, bench) for view in views]

    def _as_here(self, view: LineView, bench: BenchShown) -> LineView:
        """The view with the keys as they are here, and the last reading where there is room."""
        if BEGINS in view.note:
            view = replace(view, note=self._in_present_keys(view.note))
        if self.app.size.width < _ROOM_FOR_LAST or view.finding is None or not bench.item.history:
            return view
        return with_last_reading(view, bench.item, method_at_hand(bench.item, bench.entries, view.finding.check))

    def _show_past(self, bench: BenchShown) -> None:
        """Beside the visual list what to look for, beside a reading what was read before."""
        focused = self.screen.focused
        plot = self.query_one(HistoryPlot)
        plot.view, text = None, ""
        view = self.current.view if self.current is not None else None
        if isinstance(focused, SeenList) and focused.under_cursor is not None:
            seen = focused.under_cursor
            text = f"{seen.word}{fuse_found(bench.item, seen.line)}: look for {seen.look_for}"
        elif view is not None and view.finding is not None and bench.item.history:
            method = method_at_hand(bench.item, bench.entries, view.finding.check)
            text = past_words(bench.item, view.finding, method)
            plot.view = past_plot(bench.item, view.finding, today=bench.item.today, method=method)
        given = room_classes(self.app.size)
        if given["-short"] and self.at_outcome:
            text = self._follows(bench)
        elif given["-low"]:
            text = ""
        self._say("#earlier", text)
        plot.display = bool(bench.item.history) and given["-tall"] and not self.query_one(FoundSoFar).display

    def _show_found(self, bench: BenchShown) -> None:
        """Where there are rows for it, what is known of the item."""
        found = self.query_one(FoundSoFar)
        if found.display:
            views = [line.view for line in self.lines if line.view is not None]
            method_of = partial(method_at_hand, bench.item, bench.entries)
            looking = self.current_check is Check.VISUAL
            found.view = found_view(bench.item, bench.judged.outcome, views, method_of, looking=looking)

    @property
    def lines(self) -> list[CheckLine]:
        """The lines from top to bottom."""
        return [line for line in self.query_one("#lines").children if isinstance(line, CheckLine)]

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

    @property
    def is_done(self) -> bool:
        """The outcome has the keys, and no line waits for anything."""
        return self.at_outcome and not any(line.waits for line in self.lines)

    def step(self, by: int) -> bool:
        """Give the keys to the next or the last open line, after the last to the outcome; False where there is none."""
        stops: list[Widget] = [line.door for line in self.lines if line.door.focusable]
        stops.append(self.query_one(OutcomeBlock))
        focused = self.screen.focused
        place = stops.index(focused) if focused in stops else -1 if by > 0 else len(stops)
        there = stops[max(0, min(len(stops) - 1, place + by))]
        self.screen.set_focus(there)
        return there is not focused

    def go_to(self, line_id: str) -> None:
        """Give the keys to a line; to the first one where there is no such line."""
        doors = [line.door for line in self.lines if line.line_id == line_id and line.door.focusable]
        self.screen.set_focus(doors[0] if doors else self.lines[0].door)

    def land(self) -> None:
        """Give the keys to the first line that waits; to the first one where none does."""
        self.go_to(next((line.line_id for line in self.lines if line.waits), ""))

    def slide(self, by: int) -> bool:
        """Move along the visual list; False where it ends, or the keys are elsewhere."""
        seen = self.screen.focused
        return isinstance(seen, SeenList) and seen.move(by)

    async def arrived(self) -> None:
        """Wait until the characters typed before a command have reached their field."""
        field = self.screen.focused
        reached: asyncio.Future[None] = asyncio.get_running_loop().create_future()
        if field is None or not field.call_later(_tell, reached):
            return
        while not reached.done() and field.is_attached:  # one that is taken away meanwhile never answers
            await asyncio.wait((reached,), timeout=_LOOK_AGAIN)

    def _show_item(self, bench: BenchShown) -> None:
        """Say which item it is, where it stands on the walk, and what was found the last time."""
        item = bench.item.appliance
        assumed = bench.item.rules.facts.assumed
        self.query_one(ItemHead).view = HeadView(
            tag=item.tag,
            name=item.name,
            what=what_it_is(item, assumed),
            cord=cord_and_fuse(item, assumed),
            room=bench.item.location.name,
            last=last_result(bench.item),
        )
        self.show_walk(bench.walk, item.uid)
        told = last_time(bench.item), bench.item.stated
        if told != self._told_last:
            self._told_last = told
            self.query_one("#last-time", Static).update(last_time_page(*told))

    def show_walk(self, items: Walk, current: Uid) -> None:
        """Show the way through the visit beside the lines."""
        self.query_one(VisitWalk).show(items, current)

    def _fit(self) -> None:
        """Let notes and distances go where the lines have no room for them."""
        shapes = [line.shape for line in self.lines]
        rows = sum(1 if shape in {LineShape.TICK, LineShape.FIGURE} else 2 for shape in shapes)
        room = rows_for_lines(self.app.size)
        for seen in self.query(SeenList):
            seen.one_row = room_classes(self.app.size)["-low"]
        self.set_class(rows > room, "-tight")
        self.set_class(rows + len(shapes) <= room, "-roomy")
        self.query_one(FoundSoFar).give(room - rows - len(shapes) - _MAY_GROW if shapes else 0)
