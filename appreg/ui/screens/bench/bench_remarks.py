"""What a person says beside a line: what is wrong with it, what was put right on the spot, a remark."""

from typing import TYPE_CHECKING

from appreg.core.records.checks import Check
from appreg.core.rules.visual_list import KIND
from appreg.ui.screens.bench.bench_entries import BenchEntries, LineId, Mark
from appreg.ui.screens.bench.bench_judging import why_not_left_out
from appreg.ui.screens.bench.bench_lines import TITLES, LineShape, line_of, visual_line
from appreg.ui.screens.bench.bench_state import time_of_day
from appreg.ui.screens.bench.check_line import CheckLine
from appreg.ui.screens.bench.remark_screen import RemarkScreen
from appreg.ui.screens.bench.seen_list import SeenList
from appreg.ui.shell.key_words import key_of

if TYPE_CHECKING:
    from appreg.ui.screens.bench.bench_screen import BenchScreen


class BenchRemarks:
    """Asks for the words that stand beside the lines of the item at hand."""

    def __init__(self, bench: "BenchScreen") -> None:
        """Serve one Bench."""
        self._bench = bench
        self._open: tuple[LineId, RemarkScreen] | None = None
        """The line whose remark is being written, and where."""

    @property
    def _entries(self) -> BenchEntries:
        return self._bench.state.entries

    async def fail(self, line: CheckLine, shape: LineShape, title: str) -> None:
        """Fail what is at the cursor and ask for a remark; again, take it back."""
        target, word = line.line_id, title
        if isinstance(line.door, SeenList) and line.door.under_cursor is not None:
            target, word = line.door.under_cursor.line, line.door.under_cursor.word
            if target == visual_line(KIND):
                await self._bench.facts.deny_class()
                return
        elif shape is not LineShape.TICK:
            await self.ask(target, word, "The reading decides this line; a remark stands beside it.")
            return
        if self._entries.marks.get(target) is Mark.BAD:
            self._bench.change(self._entries.marking([target], None).remarking(target, ""))
        else:
            await self.ask(target, word, "What is wrong with it?", fails=True)

    async def put_right(self, line: CheckLine) -> None:
        """Ask what was done on the spot about what failed at the cursor."""
        seen = line.door.under_cursor if isinstance(line.door, SeenList) else None
        target = seen.line if seen is not None else line.line_id
        if line.shape in {LineShape.READING, LineShape.FIGURE}:
            self._bench.goes_nowhere(f"{key_of('bench.repeat', '!')} keeps this reading, then take it again")
            return
        if self._entries.marks.get(target) is not Mark.BAD:
            self._bench.goes_nowhere(f"{key_of('bench.fail', 'x')} says first what was found")
            return

        def answered(done: str | None) -> None:
            if done:
                self._bench.change(self._entries.mending(target, done, time_of_day(self._bench.shell.clock())))
                self._bench.say(f"put right on the spot: {done}")

        found = self._entries.remarks.get(target) or "bad"
        screen = RemarkScreen(about="put right", question=f"Found {found}. What was put right on the spot?")
        await self._bench.app.push_screen(screen, answered)
        screen.take_keys()

    async def do_without(self, check: Check) -> None:
        """Ask why a check is left out, where the rule book lets it be; again, open it."""
        bench, target = self._bench, line_of(check)
        if target in self._entries.left_out:
            bench.change(self._entries.leaving_out(target, ""))
            bench.say(f"{TITLES[check]} is open again")
            return
        item, judged = bench.state.item, bench.state.judged
        refused = why_not_left_out(check, item, judged) if item is not None and judged is not None else ""
        if refused:
            bench.goes_nowhere(refused)
            return

        def answered(reason: str | None) -> None:
            if reason:
                bench.change(self._entries.leaving_out(target, reason))

        question = "Why is it left out? The pass is limited by it, and every paper says so."
        screen = RemarkScreen(about=f"{TITLES[check]} left out", question=question)
        await bench.app.push_screen(screen, answered)
        screen.take_keys()

    async def ask(self, target: LineId, word: str, question: str, *, fails: bool = False) -> None:
        """Ask for the remark on a line; it changes no verdict, unless the line fails with it."""

        def answered(remark: str | None) -> None:
            self._open = None
            if remark is None:
                return
            entries = self._entries.remarking(target, remark)
            self._bench.change(entries.marking([target], Mark.BAD) if fails else entries)

        screen = RemarkScreen(about=word, question=question, remark=self._entries.remarks.get(target, ""))
        self._open = target, screen
        await self._bench.app.push_screen(screen, answered)
        screen.take_keys()

    def take_open(self) -> None:
        """Take a remark as far as it is written; it changes no verdict."""
        if self._open is not None:
            line, screen = self._open
            self._bench.change(self._entries.remarking(line, screen.written))
