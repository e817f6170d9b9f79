"""What the Bench learns of the item itself: confirmed, read from its plate, marked, repaired."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from appreg.core.judging.doubts import Doubt
from appreg.core.records.appliances import Fact
from appreg.core.records.kept_records import Appliance
from appreg.core.records.work_records import RemedialAction
from appreg.core.rules.assumptions import words_of
from appreg.core.values.text import shown
from appreg.tasks.inspecting.record_repair import open_actions
from appreg.tasks.records.change_record import change_record
from appreg.ui.screens.bench.bench_known import (
    assumed_at,
    mark_words,
    readings_words,
    with_class_denied,
    with_confirmed,
    with_mark_turned,
    with_read_so,
)
from appreg.ui.screens.bench.item_line_screen import ItemAsRead, ItemLineScreen
from appreg.ui.screens.bench.repair_form import RepairForm
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.shell.key_words import key_of

if TYPE_CHECKING:
    from appreg.ui.screens.bench.bench_screen import BenchScreen


class BenchFacts:
    """Writes into the register what is found out about the item at hand."""

    def __init__(self, bench: "BenchScreen") -> None:
        """Serve one Bench."""
        self._bench = bench

    async def confirm(self) -> None:
        """Confirm what the line at hand takes from the category, then a doubted reading; on the outcome, all it waits for."""
        state = self._bench.state
        if state.item is None or state.judged is None:
            return
        item, check = state.item, self._bench.board.current_check
        confirmed = assumed_at(check, item, state.judged)
        if not confirmed:
            self._confirm_readings(state.judged.doubts(check))
            return
        if await self.keep(with_confirmed(item, confirmed)):
            self._bench.say(f"confirmed: {words_of(item.rules.facts, confirmed)}")

    def _confirm_readings(self, doubts: Sequence[Doubt]) -> None:
        """Keep that doubted readings were read so."""
        if not doubts:
            self._bench.goes_nowhere("nothing here is assumed or doubted")
            return
        self._bench.change(with_read_so(self._bench.state.entries, doubts))
        self._bench.say(f"confirmed as read: {readings_words(doubts)}")

    async def ask_plate(self) -> None:
        """Ask for class, cord, fuse, power and tag on one line; what is typed counts as read."""
        item = self._bench.state.item
        if item is None:
            return

        def answered(read: ItemAsRead | None) -> None:
            if read is not None:
                self._bench.call_next(self.keep, read.item, read.measured)

        screen = ItemLineScreen(item.appliance, item.category)
        await self._bench.app.push_screen(screen, answered)
        screen.take_keys()

    async def deny_class(self) -> None:
        """It is not what its category has it to be: the class is not known, so it is judged as Class I."""
        item = self._bench.state.item
        if item is None:
            return
        if await self.keep(with_class_denied(item)):
            self._bench.say("class not known now: judged as Class I")

    async def mark_unsuitable(self) -> None:
        """Mark the item as one that 500 V must not be applied to, or take the mark away."""
        if self._bench.state.item is None:
            return
        marked = with_mark_turned(self._bench.state.item)
        if not await self.keep(marked):
            return
        back = key_of("bench.unsuitable", "^y")
        self._bench.say(f"{mark_words(marked)}, {back} undoes it")
        self._bench.shell.warn(f"{mark_words(marked)}; {back} takes that back.")

    async def keep(self, item: Appliance, measured: tuple[Fact, ...] = ()) -> bool:
        """Keep the item as it is now known and judge it anew; False where that was refused."""
        bench = self._bench
        was = bench.state.item.appliance if bench.state.item is not None else None
        register, who = bench.shell.register, bench.shell.who
        changed = bench.attempt(lambda: change_record(register, who, item, opened=was, measured=measured))
        kept = changed is not None
        if kept:
            at_outcome = bench.board.at_outcome
            await bench.rebuild(bench.state.entries)
            if at_outcome:
                bench.board.step(len(bench.board.lines))
        return kept

    async def ask_repair(self) -> None:
        """Record what was done about the failure that stands."""
        bench, state = self._bench, self._bench.state
        if state.item is None or not state.actions:
            bench.shell.warn("Nothing has failed here that still waits for a repair.")
            return
        desk = Desk(bench.shell.register, bench.shell.who, bench.shell.present_day)
        form = RepairForm(desk, state.actions[-1], shown(state.item.appliance.tag))
        await bench.app.push_screen(FormScreen(form), self._repaired)

    def _repaired(self, kept: RemedialAction | None) -> None:
        bench, state = self._bench, self._bench.state
        if kept is not None and state.item is not None:
            state.actions = open_actions(bench.shell.register, state.item.appliance.uid)
            bench.show_state()
            if state.entries.carried:
                bench.call_next(bench.action_anew)
