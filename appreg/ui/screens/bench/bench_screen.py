"""The Bench: look, measure, judge and keep one item after another of a visit."""

from collections.abc import Iterator

from textual import events
from textual.widget import Widget

from appreg.core.records.checks import NO_TRIP, Check
from appreg.core.records.kept_records import InspectionKind
from appreg.core.values.uids import Uid
from appreg.tasks.inspecting.open_bench import BenchItem, open_bench
from appreg.tasks.inspecting.record_repair import open_actions
from appreg.ui.screens.bench.bench_board import BenchBoard
from appreg.ui.screens.bench.bench_commands import BENCH_COMMANDS
from appreg.ui.screens.bench.bench_drafts import BenchDrafts
from appreg.ui.screens.bench.bench_entries import BenchEntries, Mark
from appreg.ui.screens.bench.bench_facts import BenchFacts
from appreg.ui.screens.bench.bench_instrument import BenchInstrument
from appreg.ui.screens.bench.bench_keeping import BenchKeeping
from appreg.ui.screens.bench.bench_lines import TITLES, LineShape, instead_of, line_of
from appreg.ui.screens.bench.bench_remarks import BenchRemarks
from appreg.ui.screens.bench.bench_state import BenchShown, BenchState, time_of_day
from appreg.ui.screens.bench.bench_visit import BenchVisit
from appreg.ui.screens.bench.check_line import CheckLine
from appreg.ui.screens.bench.new_on_bench import site_of_visit
from appreg.ui.screens.bench.seen_list import SeenList
from appreg.ui.screens.bench.why_screen import WhyScreen, why_rows
from appreg.ui.shell.command_screen import CommandScreen
from appreg.ui.widgets.outcome_block import OutcomeBlock


class BenchScreen(CommandScreen[None]):
    """One item on the bench, then the next: what the keys do to its lines."""

    CSS_PATH = "bench_screen.tcss"
    TITLE_IN_HELP = "Bench"
    DECLARED = BENCH_COMMANDS
    AUTO_FOCUS = ""
    LEAST = (60, 15)

    def __init__(self, *, visit: Uid, appliance: Uid | None = None) -> None:
        """Open on a visit, at one item or at the first not yet done."""
        super().__init__()
        self.state = BenchState(visit)
        self.board = BenchBoard()
        """The board with the lines."""
        self.drafts = BenchDrafts(self)
        self.walk = BenchVisit(self)
        self.keeping = BenchKeeping(self)
        self.facts = BenchFacts(self)
        self.remarks = BenchRemarks(self)
        self.instrument: BenchInstrument = BenchInstrument(self)
        self._wanted = appliance

    def compose_body(self) -> Iterator[Widget]:
        """Give the board."""
        yield self.board

    def load(self) -> None:
        """Open the item left half-filled or the first to do; or read the present one again."""
        self.keeping.begin_day()
        self.instrument.begin()
        if not self.walk.is_over:
            self.call_next(self.walk.begin, self._wanted)

    def day_turned(self) -> None:
        """Say what it means for this visit, and work out the next dates anew."""
        self.keeping.say_day_turned()
        self.call_next(self.walk.read_again)

    def others_saved(self) -> None:
        """Show what they saved, beside what is entered here."""
        self.call_next(self.walk.follow)

    async def set_out(self, appliance: Uid, entries: BenchEntries) -> None:
        """Put an item on the board with what has been entered for it."""
        current, state = self.board.current, self.state
        same = state.item is not None and state.item.appliance.uid == appliance
        item = self.attempt(lambda: self.opened(appliance))
        if item is None:
            return
        state.item, state.entries = item, entries
        state.actions = open_actions(self.shell.register, appliance)
        state.asked_once = False
        self.walk.name_place(item)
        if (shown := self._shown()) is not None:
            await self.board.set_out(shown, same=same)
        if not (same and self.board.is_done):
            self.board.go_to(current.line_id) if same and current is not None else self.board.land()
        self.show_state()

    def opened(self, appliance: Uid) -> BenchItem:
        """An item of the visit as the register has it; raises NotFound."""
        return open_bench(self.shell.register, appliance, today=self.shell.today, visit=self.state.visit)

    async def rebuild(self, entries: BenchEntries) -> None:
        """Set the same item out anew, with other lines or other facts."""
        if self.state.item is not None:
            self.state.said = ""
            await self.set_out(self.state.item.appliance.uid, entries)
            self.drafts.keep_soon()

    def change(self, entries: BenchEntries) -> None:
        """Hold what is entered now, and show what it comes to."""
        if entries is not self.state.entries:
            self.state.entries = entries
            self.state.said = self.state.nowhere = ""
            self.state.asked_once = False
            self.show_state()
            self.drafts.keep_soon()

    def say(self, done: str) -> None:
        """Say what the last key did."""
        self.state.said, self.state.nowhere = done, ""
        self.show_state()

    def show_state(self) -> None:
        """Show the bench as it stands."""
        if (shown := self._shown()) is not None:
            self.board.show(shown)

    def _shown(self) -> BenchShown | None:
        return self.state.shown(next_key=self.next_key_does(), keys=self.command_keys())

    def next_key_does(self) -> str:
        """Why the last key did nothing; on the outcome what enter does, elsewhere what the last key did."""
        state = self.state
        if state.item is not None and not state.nowhere and self.board.at_outcome:
            return state.next_key_on_outcome()
        line = self.board.current
        return state.nowhere or state.said or (line.typing_words if line is not None else "")

    def on_check_line_typed(self, event: CheckLine.Typed) -> None:
        """Judge anew at every keystroke."""
        self._take(event.line, anew=event.anew)

    def on_descendant_focus(self, event: events.DescendantFocus) -> None:
        """Show what belongs to the line that has the keys; news of the outcome may come after the next key, and undoes none."""
        if not isinstance(event.widget, OutcomeBlock):
            self.state.asked_once = self.state.strayed = False
        self.state.nowhere = ""
        self.show_state()

    def on_outcome_block_strayed(self) -> None:
        """Say so when something is typed where nothing takes it, and ask again before keeping."""
        self._stray()

    def on_reading_field_not_taken(self) -> None:
        """Say so when something is typed behind a text that cannot be read."""
        self.goes_nowhere("not taken: ^u clears it, ← edits it")

    def _stray(self) -> None:
        self.state.stray()
        self.show_state()

    def goes_nowhere(self, why: str) -> None:
        """Say why a key did nothing; on the outcome that is typed astray."""
        if self.board.at_outcome:
            self._stray()
            return
        self.state.nowhere = why
        self.show_state()

    def _take(self, line: CheckLine, *, anew: bool = False) -> None:
        if line.is_attached and line in self.board.lines:
            at = time_of_day(self.shell.clock())
            self.change(self.state.entries.typing(line.line_id, line.text, at, anew=anew))

    async def typed_arrived(self) -> None:
        """Take what is typed up to now."""
        await self.board.arrived()
        if self.board.current is not None:
            self._take(self.board.current)

    async def _arrived(self) -> None:
        await self.typed_arrived()
        if self.board.current is not None:
            self.change(self.state.entries.standing(self.board.current.line_id))

    async def action_go_on(self) -> None:
        """Go to the next line, unless what stands here cannot be read; on the outcome, keep the inspection."""
        await self._arrived()
        state, line = self.state, self.board.current
        state.nowhere = ""
        if line is not None and state.judged is not None and line.line_id in state.judged.problems:
            line.refuse()
            self.goes_nowhere("unreadable: ↓ leaves it")
        elif not self.board.at_outcome:
            if self.board.current_check is Check.INSULATION and line is not None and line.text:
                state.insulation_read()
            self.board.step(1)
        elif state.asks_again:
            state.asked_once = True
            self.show_state()
        else:
            await self.action_save()

    async def action_save(self) -> None:
        """Keep the inspection as it stands and open the next item."""
        await self._arrived()
        await self.keeping.save()

    async def action_all_ok(self) -> None:
        """Mark the list or the line good and go on."""
        line = self.board.current
        if line is None or line.view is None:
            self._stray()
            return
        entries = self.state.entries
        if isinstance(line.door, SeenList):
            self.change(entries.marking_rest(line.door.lines))
        elif line.view.line.check is Check.RCD_HALF:
            line.put_text(NO_TRIP)
            self._take(line)
        elif line.view.line.shape is LineShape.TICK:
            self.change(entries.marking([line.line_id], Mark.OK).remarking(line.line_id, ""))
        else:
            self.goes_nowhere("a reading is typed here")
            return
        self.board.step(1)

    async def action_fail(self) -> None:
        """Fail what is at the cursor and ask for a remark; again, take it back."""
        await self._arrived()
        line = self.board.current
        if line is not None and line.view is not None:
            await self.remarks.fail(line, line.view.line.shape, line.view.line.title.strip())
        else:
            self._stray()

    async def action_put_right(self) -> None:
        """Say what was done on the spot about what failed at the cursor."""
        await self._arrived()
        line = self.board.current
        if line is not None:
            await self.remarks.put_right(line)
        else:
            self._stray()

    async def action_remark(self) -> None:
        """Write a remark that changes no verdict."""
        await self._arrived()
        line = self.board.current
        if line is not None and line.view is not None:
            await self.remarks.ask(line.line_id, line.view.line.title.strip(), "Remark on this line")
        else:
            self._stray()

    async def action_do_without(self) -> None:
        """Leave the check at hand out with a reason, or open it again."""
        await self._arrived()
        check = self.board.current_check
        if check is not None:
            await self.remarks.do_without(check)
        else:
            self._stray()

    async def action_repeat(self) -> None:
        """Keep this reading among the attempts and clear the field."""
        await self._arrived()
        line = self.board.current
        if line is not None and line.text.strip():
            entries = self.state.entries.repeating(line.line_id)
            line.put_text("")
            self.change(entries)
        else:
            self.goes_nowhere("no reading stands here yet")

    async def action_why(self) -> None:
        """Show why this line says what it says."""
        await self._arrived()
        line, judged = self.board.current, self.state.judged
        if line is not None and line.view is not None and judged is not None:
            about = line.view.line
            await self.app.push_screen(WhyScreen(about=TITLES[about.check], rows=why_rows(about, judged)))
        else:
            self._stray()

    async def action_turn(self) -> None:
        """Turn how the line at hand is measured."""
        await self._arrived()
        check, item = self.board.current_check, self.state.item
        other = self.state.entries.turning(check, phases=item.appliance.phases) if check and item else None
        if other is not None:
            await self.rebuild(other)
        else:
            self.goes_nowhere("this is measured in one way only")

    async def action_leakage(self) -> None:
        """Add or take away the measurement that may stand in place of the other."""
        await self._arrived()
        if self.state.entries.kind is InspectionKind.VISUAL:
            self.goes_nowhere("nothing is measured at a look")
        elif self.state.item is not None:
            other = instead_of(self.state.item, self.board.current_check)
            if other in {*self.state.entries.begun, *self.state.item.to_repeat}:
                self.goes_nowhere(f"{TITLES[other]} was begun, or has failed before, and stays asked for")
                return
            await self.rebuild(self.state.entries.toggling(line_of(other)))

    async def action_anew(self) -> None:
        """Empty every line."""
        await self._arrived()
        empty = self.state.entries.anew()
        if empty == self.state.entries:
            self.goes_nowhere("nothing is entered here yet")
            return
        await self.rebuild(empty)
        self.board.land()

    async def action_change_kind(self) -> None:
        """Change between looking only and the whole inspection."""
        await self._arrived()
        visual = self.state.entries.kind is InspectionKind.VISUAL
        await self.rebuild(self.state.entries.of_kind(InspectionKind.COMBINED if visual else InspectionKind.VISUAL))

    async def action_step(self, by: int) -> None:
        """Go up or down the lines."""
        await self._arrived()
        if not self.board.step(by):
            self.state.nowhere = "this is the first line" if by < 0 else "this is the end"
            self.show_state()

    def action_slide(self, by: int) -> None:
        """Move along the visual list."""
        on_list = self.board.current_check is Check.VISUAL
        why = "this is the end of the list" if on_list else "← → move along the visual list"
        self.goes_nowhere("" if self.board.slide(by) else why)

    async def action_confirm(self) -> None:
        """Confirm what this line rests on, or a doubted reading."""
        await self._arrived()
        await self.facts.confirm()

    async def action_plate(self) -> None:
        """Take class, cord, fuse, power and tag as read from the item."""
        await self._arrived()
        await self.facts.ask_plate()

    async def action_unsuitable(self) -> None:
        """Mark the item as one that 500 V must not be applied to, or take the mark away."""
        await self._arrived()
        await self.facts.mark_unsuitable()

    async def action_repair(self) -> None:
        """Record what was done about the failure that stands."""
        await self._arrived()
        await self.facts.ask_repair()

    async def action_undo(self) -> None:
        """Take back the last inspection kept on this visit."""
        await self._arrived()
        await self.walk.take_back()

    async def action_leave_out(self) -> None:
        """Say why the item is not inspected on this visit."""
        await self._arrived()
        await self.walk.leave_out()

    async def action_skip(self, by: int) -> None:
        """Open the item before or after."""
        await self._arrived()
        await self.walk.skip(by)

    def take_found(self, item: Uid) -> bool:
        """Open an item of this visit that was scanned."""
        return self.walk.take_found(item)

    def place_for_new(self) -> str:
        """A new item is added at the site of the visit."""
        return site_of_visit(self, self.state.visit).name

    def take_new(self, tag: str) -> None:
        """Open the walk-round with a tag that no item has; what is to be tested at once comes onto the Bench."""
        self.walk.take_new(tag)

    def action_back(self) -> None:
        """Leave the bench; what was entered is kept."""
        self.drafts.keep()
        super().action_back()

    def on_screen_suspend(self, _event: events.ScreenSuspend) -> None:
        """Another screen comes: what waits for its timer is kept now."""
        self.drafts.keep_due()

    def on_unmount(self) -> None:
        """The bench closes: what waits for its timer is kept now."""
        self.instrument.end()
        self.drafts.keep_due()

    def keep_typed(self) -> str:
        """Keep the half-filled bench, with what stands in a field and in a remark that is being written."""
        if self.state.item is not None:
            if self.board.current is not None:
                self._take(self.board.current)
            self.remarks.take_open()
            self.drafts.keep()
        return ""
