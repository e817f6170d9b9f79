"""What the keys of the Bench do to the item at hand: tick, fail, repeat, turn, remark, explain."""

from datetime import UTC, datetime

from textual import events

from appreg.core.appliances import ApplianceClass, Fact
from appreg.core.assumptions import BEHIND, SEEN_AT_ONCE, words_of
from appreg.core.check_findings import NO_TRIP
from appreg.core.checks import Check
from appreg.core.instrument_accuracy import InstrumentAccuracy
from appreg.core.lean_dataclasses import replace
from appreg.core.provenance import assuming
from appreg.core.rcd_limits import RCD_CHECKS
from appreg.core.records import Appliance, InspectionKind
from appreg.core.second_lines import INSULATIONS, second_lines
from appreg.core.text import shown
from appreg.core.uids import Uid
from appreg.core.visual_list import KIND
from appreg.core.work_records import RemedialAction
from appreg.tasks.change_record import change_record
from appreg.tasks.open_bench import BenchItem, open_bench
from appreg.tasks.record_repair import open_actions
from appreg.ui.command_screen import CommandScreen
from appreg.ui.key_words import key_of
from appreg.ui.screens.bench.bench_board import BenchBoard
from appreg.ui.screens.bench.bench_entries import (
    CURRENTS,
    METHODS,
    VOLTS,
    VOLTS_BY_LINES,
    BenchEntries,
    LineId,
    Mark,
    next_of,
)
from appreg.ui.screens.bench.bench_judging import BenchJudgement, judge_bench
from appreg.ui.screens.bench.bench_lines import LOAD, TITLES, LineShape, line_of, visual_line
from appreg.ui.screens.bench.bench_shown import BenchShown
from appreg.ui.screens.bench.bench_why import why_rows
from appreg.ui.screens.bench.check_line import CheckLine
from appreg.ui.screens.bench.item_line_screen import ItemAsRead, ItemLineScreen
from appreg.ui.screens.bench.remark_screen import RemarkScreen
from appreg.ui.screens.bench.repair_form import RepairForm
from appreg.ui.screens.bench.seen_list import SeenList
from appreg.ui.screens.bench.why_screen import WhyScreen
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_screen import FormScreen

_TURNED = {**dict.fromkeys(INSULATIONS, VOLTS), Check.LEAKAGE: METHODS, Check.EARTH_CONTINUITY: CURRENTS}
"""What ^t turns on a line."""


def _beside(check: Check) -> tuple[Fact, ...]:
    """What a line without a limit, or a device beside it, lets one confirm."""
    if check is Check.VISUAL:
        return tuple(SEEN_AT_ONCE)
    return (Fact.RCD_RATING,) if check in RCD_CHECKS else ()


class BenchEditing(CommandScreen[None]):
    """A screen with one item on the board and what has been entered for it."""

    def __init__(self) -> None:
        """Start with nothing on the board."""
        super().__init__()
        self._item: BenchItem | None = None
        self._entries = BenchEntries()
        self._judged: BenchJudgement | None = None
        self._said = ""
        """What the last key did, until something else is typed."""
        self._asked_once = False
        """Enter has been pressed once on an outcome that is kept only at the second press."""
        self._strayed = False
        """Something has been typed on the outcome, where nothing takes it."""
        self._nowhere = ""
        """Why the last key did nothing, until another does something."""
        self._insulation_typed = False
        self._stated = InstrumentAccuracy()
        self._actions: tuple[RemedialAction, ...] = ()
        self._remark: tuple[LineId, RemarkScreen] | None = None
        """The line whose remark is being written, and where."""

    @property
    def board(self) -> BenchBoard:
        """The board with the lines."""
        return self.query_one(BenchBoard)

    async def set_out(self, appliance: Uid, entries: BenchEntries) -> None:
        """Put an item on the board with what has been entered for it."""
        current = self.board.current
        same = self._item is not None and self._item.appliance.uid == appliance
        item = self.attempt(lambda: open_bench(self.shell.register, appliance, today=self.shell.today))
        if item is None:
            return
        self._item, self._entries = item, entries
        self._actions = open_actions(self.shell.register, appliance)
        self._asked_once = False
        self.name_place(item)
        await self.board.set_out(self._shown(item))
        self.board.go_to(current.line_id if current else "") if same else self.board.land()
        self._show()

    async def read_again(self) -> None:
        """Set the item out anew where another screen has changed it."""
        if self._item is None:
            return
        uid = self._item.appliance.uid
        now = self.attempt(lambda: open_bench(self.shell.register, uid, today=self.shell.today))
        if now is not None and now != self._item:
            await self.set_out(uid, self._entries)

    def name_place(self, item: BenchItem) -> None:
        """Say which item of which visit this is."""

    def next_key_does(self) -> str:
        """What the next key does, or what the last one did."""
        return self._said

    def kept_changing(self) -> None:
        """Called after each change of what is entered."""

    def _show(self) -> None:
        if self._item is None:
            return
        self.board.show(self._shown(self._item))

    def _shown(self, item: BenchItem) -> BenchShown:
        """Judge the bench as it stands and gather what the board is told."""
        self._judged = judge_bench(item, self._entries, self._stated)
        return BenchShown(
            item=item,
            entries=self._entries,
            judged=self._judged,
            stated=self._stated,
            actions=self._actions,
            first_insulation=not self._insulation_typed,
            next_key=self.next_key_does(),
            keys=frozenset(key for command in self.keyed_commands() for key in command.keys),
        )

    def on_check_line_typed(self, event: CheckLine.Typed) -> None:
        """Judge anew at every keystroke."""
        self._take(event.line)

    def on_descendant_focus(self, _event: events.DescendantFocus) -> None:
        """Show what belongs to the line that now has the keys."""
        self._asked_once = self._strayed = False
        self._nowhere = ""
        self._show()

    def on_outcome_block_strayed(self) -> None:
        """Say so when something is typed where nothing takes it, and ask again before keeping."""
        self._stray()

    def _stray(self) -> None:
        self._asked_once = False
        self._strayed = True
        self._nowhere = ""
        self._show()

    def _goes_nowhere(self, why: str) -> None:
        """Say why a key did nothing; on the outcome that is typed astray."""
        if self.board.at_outcome:
            self._stray()
            return
        self._nowhere = why
        self._show()

    def _take(self, line: CheckLine) -> None:
        if line.is_attached and line in self.board.lines:
            self._change(self._entries.typing(line.line_id, line.text, self.time_of_day()))

    def _change(self, entries: BenchEntries) -> None:
        if entries is not self._entries:
            self._entries = entries
            self._said = self._nowhere = ""
            self._asked_once = False
            self._show()
            self.kept_changing()

    def time_of_day(self) -> str:
        """The present time where this machine stands, HH:MM:SS."""
        return datetime.fromtimestamp(self.shell.clock() / 1000, tz=UTC).astimezone().strftime("%H:%M:%S")

    async def _arrived(self) -> None:
        await self.board.arrived()
        if self.board.current is not None:
            self._take(self.board.current)

    async def action_all_ok(self) -> None:
        """Mark the list or the line good and go on."""
        line = self.board.current
        if line is None or line.view is None:
            self._stray()
            return
        if isinstance(line.door, SeenList):
            marks, carried = self._entries.marks, self._entries.carried
            bad = {each for each, mark in marks.items() if mark is Mark.BAD}
            unmarked = [each for each in line.door.lines if each not in bad and (each not in marks or each in carried)]
            self._change(self._entries.marking(unmarked, Mark.OK))
        elif line.view.line.check is Check.RCD_HALF:
            line.put_text(NO_TRIP)
            self._take(line)
        elif line.view.line.shape is LineShape.TICK:
            self._change(self._entries.marking([line.line_id], Mark.OK).remarking(line.line_id, ""))
        else:
            self._goes_nowhere("a reading is typed here")
            return
        self.board.step(1)

    async def action_fail(self) -> None:
        """Fail what is at the cursor and ask for a remark; again, take it back."""
        await self._arrived()
        line = self.board.current
        if line is None or line.view is None:
            self._stray()
            return
        target, word = line.line_id, line.view.line.title.strip()
        if isinstance(line.door, SeenList) and line.door.under_cursor is not None:
            target, word = line.door.under_cursor.line, line.door.under_cursor.word
            if target == visual_line(KIND):
                await self._deny_class()
                return
        elif line.view.line.shape is not LineShape.TICK:
            await self._ask(target, word, "The reading decides this line; a remark stands beside it.", fails=False)
            return
        if self._entries.marks.get(target) is Mark.BAD:
            self._change(self._entries.marking([target], None).remarking(target, ""))
        else:
            await self._ask(target, word, "What is wrong with it?", fails=True)

    async def action_put_right(self) -> None:
        """Ask what was done on the spot about what failed at the cursor, and go on."""
        await self._arrived()
        line = self.board.current
        if line is None:
            self._stray()
            return
        seen = line.door.under_cursor if isinstance(line.door, SeenList) else None
        target = seen.line if seen is not None else line.line_id
        if self._entries.marks.get(target) is not Mark.BAD:
            self._goes_nowhere(f"{key_of('bench.fail', 'x')} says first what was found")
            return

        def answered(done: str | None) -> None:
            if done:
                self._change(self._entries.mending(target, done, self.time_of_day()))
                self._said = f"put right on the spot: {done}"
                self._show()

        found = self._entries.remarks.get(target) or "bad"
        screen = RemarkScreen(about="put right", question=f"Found {found}. What was put right on the spot?")
        await self.app.push_screen(screen, answered)
        screen.take_keys()

    async def action_remark(self) -> None:
        """Write a remark that changes no verdict."""
        await self._arrived()
        line = self.board.current
        if line is not None and line.view is not None:
            await self._ask(line.line_id, line.view.line.title.strip(), "Remark on this line", fails=False)
        else:
            self._stray()

    async def _ask(self, target: LineId, word: str, question: str, *, fails: bool) -> None:
        def answered(remark: str | None) -> None:
            self._remark = None
            if remark is None:
                return
            entries = self._entries.remarking(target, remark)
            self._change(entries.marking([target], Mark.BAD) if fails else entries)

        present = self._entries.remarks.get(target, "")
        screen = RemarkScreen(about=word, question=question, remark=present)
        self._remark = target, screen
        await self.app.push_screen(screen, answered)
        screen.take_keys()

    def _take_remark(self) -> None:
        """Take a remark as far as it is written; it changes no verdict."""
        if self._remark is not None:
            line, screen = self._remark
            self._change(self._entries.remarking(line, screen.written))

    async def action_repeat(self) -> None:
        """Keep this reading among the attempts and clear the field."""
        await self._arrived()
        line = self.board.current
        if line is not None and line.text.strip():
            entries = self._entries.repeating(line.line_id)
            line.put_text("")
            self._change(entries)
        else:
            self._goes_nowhere("no reading stands here yet")

    async def action_why(self) -> None:
        """Show why this line says what it says."""
        await self._arrived()
        line = self.board.current
        if line is not None and line.view is not None and self._judged is not None:
            rows = why_rows(line.view.line, self._judged)
            await self.app.push_screen(WhyScreen(about=TITLES[line.view.line.check], rows=rows))
        else:
            self._stray()

    async def action_turn(self) -> None:
        """Turn how the line at hand is measured."""
        await self._arrived()
        check = self.board.current_check
        if check is Check.FUNCTIONAL:
            await self._rebuild(self._entries.toggling(LOAD))
        elif check in _TURNED:
            line = line_of(check)
            lines = self._item.appliance.phases if self._item is not None else 1
            choices = VOLTS_BY_LINES if check is Check.INSULATION and lines > 1 else _TURNED[check]
            turned = next_of(choices, self._entries.settings.get(line, ""))
            await self._rebuild(self._entries.setting(line, turned))
        else:
            self._goes_nowhere("this is measured in one way only")

    async def action_leakage(self) -> None:
        """Add or take away the measurement that may stand in place of the other."""
        await self._arrived()
        if self._entries.kind is InspectionKind.VISUAL:
            self._goes_nowhere("nothing is measured at a look")
        elif self._item is not None:
            await self._rebuild(self._entries.toggling(line_of(self._instead(self._item))))

    def _instead(self, item: BenchItem) -> Check:
        """The measurement that may stand for the one at hand: of a second line the other of its two."""
        check = self.board.current_check
        for line in second_lines(item.facts):
            if check in {line.insulation, line.current}:
                return line.insulation if line.current in item.required else line.current
        return Check.INSULATION if Check.LEAKAGE in item.required else Check.LEAKAGE

    async def action_unsuitable(self) -> None:
        """Mark the item as one that 500 V must not be applied to, or take the mark away."""
        await self._arrived()
        if self._item is None:
            return
        item = self._item.appliance
        marked = replace(item, unsuitable_500v=not item.unsuitable_500v)
        if self.attempt(lambda: change_record(self.shell.register, self.shell.who, marked, opened=item)) is None:
            return
        await self._rebuild(self._entries)
        back = key_of("bench.unsuitable", "^y")
        is_so = "is marked unsuitable for 500 V d.c." if marked.unsuitable_500v else "may be tested at 500 V d.c. again"
        self._said = f"{item.tag} {is_so}, {back} undoes it"
        self._show()
        self.shell.warn(f"{item.tag} {is_so}; {back} takes that back.")

    async def action_confirm(self) -> None:
        """Confirm what the line at hand takes from the category; on the outcome, all that it waits for."""
        await self._arrived()
        if self._item is None or self._judged is None:
            return
        facts = self._item.facts
        check = self.board.current_check
        behind = self._judged.judgement.unconfirmed if check is None else (*BEHIND.get(check, ()), *_beside(check))
        confirmed = [fact for fact in facts.assumed if fact in behind]
        if not confirmed:
            self._said = "nothing here is assumed"
            self._show()
            return
        await self._keep_known(assuming(self._item.appliance, set(facts.assumed) - set(confirmed)))
        self._said = f"confirmed: {words_of(facts, confirmed)}"
        self._show()

    async def action_plate(self) -> None:
        """Ask for class, cord, fuse, power and tag on one line; what is typed counts as read."""
        await self._arrived()
        if self._item is None:
            return

        def answered(read: ItemAsRead | None) -> None:
            if read is not None:
                self.call_next(self._keep_known, read.item, read.measured)

        screen = ItemLineScreen(self._item.appliance, self._item.category)
        await self.app.push_screen(screen, answered)
        screen.take_keys()

    async def _deny_class(self) -> None:
        """It is not what its category has it to be: the class is not known, so it is judged as Class I."""
        if self._item is None:
            return
        left = set(self._item.facts.assumed) - {Fact.CLASS}
        await self._keep_known(replace(assuming(self._item.appliance, left), appliance_class=ApplianceClass.UNKNOWN))
        self._said = "class not known now: judged as Class I"
        self._show()

    async def _keep_known(self, item: Appliance, measured: tuple[Fact, ...] = ()) -> None:
        was = self._item.appliance if self._item is not None else None
        register, who = self.shell.register, self.shell.who
        if self.attempt(lambda: change_record(register, who, item, opened=was, measured=measured)) is not None:
            at_outcome = self.board.at_outcome
            await self._rebuild(self._entries)
            if at_outcome:
                self.board.step(len(self.board.lines))

    async def action_repair(self) -> None:
        """Record what was done about the failure that stands."""
        await self._arrived()
        if self._item is None or not self._actions:
            self.shell.warn("Nothing has failed here that still waits for a repair.")
            return
        desk = Desk(self.shell.register, self.shell.who, self.shell.present_day)
        form = RepairForm(desk, self._actions[-1], shown(self._item.appliance.tag))
        await self.app.push_screen(FormScreen(form), self._repaired)

    def _repaired(self, kept: RemedialAction | None) -> None:
        if kept is not None and self._item is not None:
            self._actions = open_actions(self.shell.register, self._item.appliance.uid)
            self._show()
            if self._entries.carried:
                self.call_next(self.action_anew)

    async def action_anew(self) -> None:
        """Empty every line."""
        await self._arrived()
        await self._rebuild(BenchEntries(kind=self._entries.kind))
        self.board.land()

    async def action_change_kind(self) -> None:
        """Change between looking only and the whole inspection."""
        await self._arrived()
        visual = self._entries.kind is InspectionKind.VISUAL
        await self._rebuild(self._entries.of_kind(InspectionKind.COMBINED if visual else InspectionKind.VISUAL))

    async def _rebuild(self, entries: BenchEntries) -> None:
        if self._item is not None:
            self._said = ""
            await self.set_out(self._item.appliance.uid, entries)
            self.kept_changing()

    async def action_step(self, by: int) -> None:
        """Go up or down the lines."""
        await self._arrived()
        if not self.board.step(by):
            self._nowhere = "this is the first line" if by < 0 else "this is the end"
            self._show()

    def action_slide(self, by: int) -> None:
        """Move along the visual list."""
        if self.board.slide(by):
            self._nowhere = ""
            self._show()
        else:
            self._goes_nowhere("← → move along the visual list")
