"""The Bench: look, measure, judge and keep one item after another of a visit."""

from collections.abc import Awaitable, Callable, Iterator
from datetime import date
from functools import cached_property
from typing import Final

from textual import events, on
from textual.message import Message
from textual.widget import Widget

from appreg.core.checks import Check
from appreg.core.dates_in_words import date_words
from appreg.core.instrument_accuracy import InstrumentAccuracy
from appreg.core.outcomes import Outcome
from appreg.core.records import Appliance, Inspection, InspectionKind, Instrument, Site, Visit
from appreg.core.uids import Uid
from appreg.core.work_records import NotInspected
from appreg.tasks.finish_bench import finish_bench
from appreg.tasks.go_on_with_visit import go_on_with_visit
from appreg.tasks.keep_bench_draft import (
    bench_as_kept,
    bench_draft,
    drafts_of_visit,
)
from appreg.tasks.open_bench import BenchItem, VisitItem, items_for_visit
from appreg.tasks.record_inspection import SavedInspection
from appreg.tasks.record_repair import open_actions
from appreg.tasks.state_uncertainty import accuracy_of
from appreg.tasks.take_back_inspection import take_back_inspection
from appreg.tasks.write_drafts_beside import DraftWriter, Entered
from appreg.ui.key_words import key_of
from appreg.ui.screens.asking.pick_screen import Answer, PickScreen
from appreg.ui.screens.bench.bench_board import BenchBoard
from appreg.ui.screens.bench.bench_commands import BENCH_COMMANDS
from appreg.ui.screens.bench.bench_editing import BenchEditing
from appreg.ui.screens.bench.bench_entries import BenchEntries, entries_from_json
from appreg.ui.screens.bench.bench_judging import judge_bench, seen_facts
from appreg.ui.screens.bench.bench_lines import carried_words
from appreg.ui.screens.bench.bench_saving import attempts_by_check, check_remarks, unsaveable
from appreg.ui.screens.bench.bench_walk import first_to_do, inspection_in, last_kept, neighbour, next_to_do, place_of
from appreg.ui.screens.bench.new_on_bench import site_of_visit, walk_for_new
from appreg.ui.screens.bench.not_inspected_form import NotInspectedForm
from appreg.ui.screens.bench.remark_screen import RemarkScreen
from appreg.ui.screens.bench.visit_sum_screen import VisitSumScreen
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_screen import FormScreen

MISTYPED: Final = "mistyped"
"""How an answer begins that calls the earlier record a slip."""
DRAFT_AFTER: Final = 0.25
"""Seconds from a keystroke to the half-filled bench on disk."""


class BenchScreen(BenchEditing):
    """One item on the bench, then the next."""

    CSS_PATH = "bench_screen.tcss"
    TITLE_IN_HELP = "Bench"
    DECLARED = BENCH_COMMANDS
    AUTO_FOCUS = ""
    SCANS_OVER_FIELDS = True
    LEAST = (60, 15)

    class _Shared(Message):
        """What was typed was kept, over what another desk has typed of some items."""

        def __init__(self, items: frozenset[Uid]) -> None:
            super().__init__()
            self.items = items

    class _NotKept(Message):
        """What was typed could not be kept."""

        def __init__(self, fault: Exception) -> None:
            super().__init__()
            self.fault = fault

    def __init__(self, *, visit: Uid, appliance: Uid | None = None) -> None:
        """Open on a visit, at one item or at the first not yet done."""
        super().__init__()
        self._visit = visit
        self._wanted = appliance
        self._items: list[VisitItem] = []
        self._draft_due = False
        self._summing = False
        self._opened: BenchEntries | None = None
        """What an inspection kept on this visit filled the item with; None where it is not opened again."""
        self._shared: set[Uid] = set()
        """Items of which it was said that another desk has them on its bench too."""
        self._day: date | None = None
        """The day that was last taken for granted here."""

    @cached_property
    def _drafts(self) -> DraftWriter:
        return DraftWriter(self.shell.register, self.shell.who)

    def compose_body(self) -> Iterator[Widget]:
        """Give the board."""
        yield BenchBoard()

    def load(self) -> None:
        """Open the item left half-filled or the first to do; or read the present one again."""
        self._items = items_for_visit(self.shell.register, self._visit)
        self._day = self._day or self.shell.today
        if self._summing:
            return
        self._stated = self._accuracy()
        if self._item is not None:
            self.call_next(self.read_again)
            return
        left = [draft.appliance for draft in drafts_of_visit(self.shell.register, self._visit)]
        wanted = self._wanted or next(iter(left), None) or first_to_do(self._items)
        self.call_next(self.open_item, wanted) if wanted is not None else self.call_next(self._sum_up)

    def day_turned(self) -> None:
        """Say what it means for this visit, and work out the next dates anew."""
        if self._visit_is_of_another_day():
            self.shell.warn(
                "This visit is of the day before: you are asked which it shall be before the next item is kept."
            )
        self.call_next(self._dated_anew)

    async def _dated_anew(self) -> None:
        await self._arrived()
        await self.read_again()

    def _visit_is_of_another_day(self) -> bool:
        """The visit was of the day when work began, and that day is over; one of an earlier day was chosen knowingly."""
        return self._day != self.shell.today and self.shell.register.get(Visit, self._visit).date == self._day

    def _ask_which_visit(self) -> None:
        today = self.shell.today
        visit = self.shell.register.get(Visit, self._visit)
        answers = (
            Answer("new", f"Go on in a visit of {date_words(today)}, by the same person with the same instrument."),
            Answer("stay", f"Stay in the visit of {date_words(visit.date)}: this is still that day's work."),
        )
        self.app.push_screen(
            PickScreen("The day has turned: which visit does this item belong to?", answers), self._take_visit
        )

    def _take_visit(self, answer: str | None) -> None:
        if answer is None:
            self.shell.warn("Not kept yet: say first which visit it belongs to.")
            return
        today = self.shell.today
        if answer == "new":
            self.keep_draft()
            following = self.attempt(
                lambda: go_on_with_visit(self.shell.register, self.shell.who, visit=self._visit, on=today)
            )
            if following is None:
                return
            self._visit = following.uid
            self._items = items_for_visit(self.shell.register, self._visit)
        self._day = today
        self.call_next(self.action_save)

    def _accuracy(self) -> InstrumentAccuracy:
        visit = self.shell.register.get(Visit, self._visit)
        return accuracy_of(self.shell.register.get(Instrument, visit.instrument) if visit.instrument else None)

    async def open_item(self, appliance: Uid, kind: InspectionKind = InspectionKind.COMBINED) -> None:
        """Open an item, with what was entered for it before a crash or a skip."""
        entries, self._opened = BenchEntries(kind=kind), None
        draft = bench_draft(self.shell.register, visit=self._visit, appliance=appliance)
        kept = inspection_in(self._items, appliance)
        if draft is not None:
            self._drafts.read(appliance, draft.body)
            entries = self.attempt(lambda: entries_from_json(draft.body)) or entries
        elif (
            kept is not None
            and not self._is_repaired(appliance)
            and (body := bench_as_kept(self.shell.register, kept.uid))
        ):
            filled = self.attempt(lambda: entries_from_json(body))
            self._opened = filled.carrying() if filled is not None else None
            entries = self._opened or entries
        self._nowhere = ""
        await self.set_out(appliance, entries)
        anew = key_of("bench.anew", "^n")
        if draft is not None:
            self._said = f"resumed {draft.saved_at}, {anew} anew"
        elif kept is not None:
            self._said = f"kept: {kept.outcome}, {anew} anew"
        self._show()

    def _is_repaired(self, appliance: Uid) -> bool:
        """A repair is recorded since it failed, so that every check is taken anew."""
        return any(action.repair for action in open_actions(self.shell.register, appliance))

    def name_place(self, item: BenchItem) -> None:
        """Say which item of which visit this is."""
        visit = self.shell.register.get(Visit, self._visit)
        site = self.shell.register.get(Site, visit.site)
        kind = "look only" if self._entries.kind is InspectionKind.VISUAL else "Visit"
        place = place_of(self._items, item.appliance.uid) + 1
        kept = ["kept"] if inspection_in(self._items, item.appliance.uid) is not None else []
        where = " · ".join([*self._linked(item), *kept, f"item {place} of {len(self._items)}"])
        self.show_place(f"Bench · {kind} {date_words(visit.date)} · {site.name}", where)

    def _linked(self, item: BenchItem) -> list[str]:
        """For a detachable cord set what it feeds, for an item the cord sets that feed it."""
        register, feeds = self.shell.register, item.appliance.feeds
        fed_by = register.find(Appliance, feeds=item.appliance.uid)
        fed = [f"feeds {register.get(Appliance, feeds).tag}"] if feeds else []
        return [*fed, *(f"fed by {cord.tag}" for cord in fed_by)]

    def next_key_does(self) -> str:
        """Why the last key did nothing; on the outcome what enter does, elsewhere what the last key did."""
        if self._item is None or self._judged is None or self._nowhere or not self.board.at_outcome:
            line = self.board.current
            return self._nowhere or self._said or (line.typing_words if line is not None else "")
        if self._entries.is_untouched:
            return "nothing is looked at or measured yet: go up"
        if self._is_as_kept:
            return "kept as it stands: enter goes on"
        again = "again" if self._asked_once else "twice"
        stray = "nothing takes what you typed here; " if self._strayed and not self._asked_once else ""
        if self._judged.outcome is Outcome.INCOMPLETE:
            return "not taken: go up" if stray else f"enter {again} keeps it so"
        if self._judged.outcome is Outcome.FAIL:
            return f"{stray}enter {again} keeps the failure"
        follower = next_to_do(self._items, self._item.appliance.uid)
        following = next((f", then {i.appliance.tag}" for i in self._items if i.appliance.uid == follower), "")
        return f"{stray}enter keeps it{following}"

    async def action_go_on(self) -> None:
        """Go to the next line, or keep the inspection."""
        await self._arrived()
        self._nowhere = ""
        if not self.board.at_outcome:
            line = self.board.current
            if self.board.current_check is Check.INSULATION and line is not None and line.text:
                self._insulation_typed = True
            self.board.step(1)
        elif self._asks_again():
            self._asked_once = True
            self._show()
        else:
            await self.action_save()

    def _asks_again(self) -> bool:
        """Tell whether what is not a pass waits for a second press."""
        passed = self._judged is None or self._judged.outcome is Outcome.PASS
        return not (passed or self._asked_once or self._entries.is_untouched or self._is_as_kept)

    @property
    def _is_as_kept(self) -> bool:
        """Nothing is changed on an item that was kept on this visit."""
        return self._opened is not None and self._entries == self._opened

    async def action_save(self) -> None:
        """Keep the inspection as it stands and open the next item."""
        await self._arrived()
        if self._item is None:
            return
        if self._entries.is_untouched:
            later = key_of("bench.skip(1)", "page down")
            tag = self._item.appliance.tag
            self.shell.warn(f"Nothing is looked at or measured on {tag} yet, so nothing is kept; {later} leaves it.")
            return
        if self._is_as_kept:
            await self._go_past(self._item.appliance.uid, f"{self._item.appliance.tag} stays as it was kept")
            return
        lost = unsaveable(judge_bench(self._item, self._entries, self._stated))
        if lost is not None:
            self.shell.warn(lost[1])
            self.board.go_to(lost[0])
            return
        if self._visit_is_of_another_day():
            self._ask_which_visit()
            return
        earlier = inspection_in(self._items, self._item.appliance.uid)
        if earlier is not None and (earlier.outcome is not Outcome.INCOMPLETE or (self._actions and self._carried)):
            await self._ask_again(earlier)
        elif self._needs_put_right():
            await self._ask_line("put right", f"{self._failure_words()} What was put right since?", self._keep_retest)
        else:
            await self._keep()

    def _needs_put_right(self) -> bool:
        """A failure stands that nobody has said to be put right, and now the item passes."""
        passes = self._judged is not None and self._judged.outcome is Outcome.PASS
        return passes and bool(self._actions) and not any(action.repair for action in self._actions)

    def _failure_words(self) -> str:
        last = self._actions[-1]
        return f"It failed on {date_words(last.opened_on)}, {last.what}."

    @property
    def _carried(self) -> str:
        return carried_words(self._item, self._entries) if self._item is not None else ""

    async def _ask_again(self, earlier: Inspection) -> None:
        """Tell a retest from a slip: a further inspection unless the person says it was mistyped."""
        retest = "what was put right since?" if self._needs_put_right() else "a further inspection: enter, or a remark."
        if self._carried:
            retest = f"a further inspection takes these anew first: {self._carried}."
        question = f"It came to {earlier.outcome} on this visit; {retest} To correct a slip, type “{MISTYPED}” and why."

        async def answered(said: str) -> None:
            if said.casefold().startswith(MISTYPED):
                await self._keep(supersedes=earlier.uid, reason=said)
            elif self._carried:
                anew = key_of("bench.anew", "^n")
                self.shell.warn(f"Not kept: {self._carried} as kept before; take them anew, {anew} empties all.")
            elif self._needs_put_right():
                await self._keep(put_right=said)
            else:
                await self._keep(remarks=said)

        await self._ask_line("once more", question, answered)

    async def _keep_retest(self, done: str) -> None:
        await self._keep(put_right=done)

    async def _ask_line(self, about: str, question: str, keep: Callable[[str], Awaitable[None]]) -> None:
        screen = RemarkScreen(about=about, question=question)

        def answered(said: str | None) -> None:
            if said is not None:
                self.call_next(keep, said)

        await self.app.push_screen(screen, answered)
        screen.take_keys()

    async def _keep(
        self, *, supersedes: Uid | None = None, reason: str = "", put_right: str = "", remarks: str = ""
    ) -> None:
        if self._item is None:
            return
        item, entries = self._item, self._entries
        judged = judge_bench(item, entries, self._stated)
        self.keep_draft()
        saved = self.attempt(
            lambda: finish_bench(
                self.shell.register,
                self.shell.who,
                appliance=item.appliance.uid,
                visit=self._visit,
                kind=entries.kind,
                entries=judged.entries,
                check_remarks=check_remarks(item, entries),
                attempts=attempts_by_check(entries, judged),
                supersedes=supersedes,
                reason=reason,
                confirmed=seen_facts(item, entries),
                put_right=put_right,
                remarks=remarks,
                seen={past.inspection.uid for past in item.history},
            )
        )
        if saved is not None:
            if saved.caution:
                self.shell.warn(saved.caution)
            await self._go_to_next(saved)
            return
        # What was refused may rest on what another desk did: show the item as it now is, with what is typed here.
        self._items = items_for_visit(self.shell.register, self._visit)
        await self.read_again()

    async def _go_to_next(self, saved: SavedInspection) -> None:
        self._items = items_for_visit(self.shell.register, self._visit)
        follower = next_to_do(self._items, saved.appliance.uid)
        if follower is None:
            self._entries = BenchEntries(kind=saved.inspection.kind)
            await self._sum_up()
            return
        await self.open_item(follower, saved.inspection.kind)
        self._said = f"kept {saved.appliance.tag} {saved.inspection.outcome}, {key_of('bench.undo', '^z')} undo"
        self._show()

    def kept_changing(self) -> None:
        """Keep the half-filled bench soon; a timer already running is soon enough."""
        if not self._draft_due:
            self._draft_due = True
            self.set_timer(DRAFT_AFTER, self._keep_draft_beside)

    def on_screen_suspend(self, _event: events.ScreenSuspend) -> None:
        """Another screen comes: what waits for its timer is kept now."""
        if self._draft_due or self._drafts.is_busy:
            self.keep_draft()

    def on_unmount(self) -> None:
        """The bench closes: what waits for its timer is kept now."""
        if self._draft_due or self._drafts.is_busy:
            self.keep_draft()

    def keep_typed(self) -> str:
        """Keep the half-filled bench, with what stands in a field and in a remark that is being written."""
        if self._item is not None:
            if self.board.current is not None:
                self._take(self.board.current)
            self._take_remark()
            self.keep_draft()
        return ""

    def keep_draft(self) -> None:
        """Keep what has been entered so far, where it has changed, before this returns."""
        entered = self._entered()
        shared = self.attempt(lambda: self._drafts.write_now(entered)) if entered is not None else None
        self._say_of_other_desk(shared or frozenset())

    def _keep_draft_beside(self) -> None:
        """Keep it in a thread: nobody waits for the disk between two keys."""
        entered = self._entered()
        if entered is not None and self._drafts.hand_in(entered):
            self.run_worker(self._write_beside, thread=True, group="half-filled bench")

    def _write_beside(self) -> None:
        try:
            self.post_message(self._Shared(self._drafts.write_waiting()))
        except Exception as fault:  # noqa: BLE001 - told on the screen, and reported where it was not foreseen
            self.post_message(self._NotKept(fault))

    @on(_Shared)
    def _hear_of_other_desk(self, message: _Shared) -> None:
        self._say_of_other_desk(message.items)

    @on(_NotKept)
    def _hear_not_kept(self, message: _NotKept) -> None:
        self.shell.tell_fault(message.fault)

    def _entered(self) -> Entered | None:
        self._draft_due = False
        if self._item is None:
            return None
        entries, item = self._entries, self._item.appliance.uid
        body = "" if entries.is_untouched or self._is_as_kept else entries.to_json()
        return Entered(visit=self._visit, appliance=item, at=self.time_of_day(), body=body)

    def _say_of_other_desk(self, shared: frozenset[Uid]) -> None:
        """Say once where another desk has the same item on its bench: only one half-filled bench can be kept."""
        if not shared <= self._shared:
            self._shared |= shared
            self.shell.warn(
                "Another desk has this item on its bench too: what is typed last is what a crash would leave. "
                "Agree who inspects it."
            )

    async def action_undo(self) -> None:
        """Take back the last inspection kept on this visit and put its item on the board again."""
        await self._arrived()
        last = last_kept(self._items)
        if last is None:
            self.shell.warn("Nothing has been kept on this visit yet, so there is nothing to take back.")
            return
        self.keep_draft()
        item = self.attempt(lambda: take_back_inspection(self.shell.register, self.shell.who, last))
        if item is not None:
            self._items = items_for_visit(self.shell.register, self._visit)
            await self.open_item(item.uid)
            self._said = f"taken back: {item.tag}"
            self._show()

    async def action_leave_out(self) -> None:
        """Say why the item is not inspected on this visit and open the next."""
        await self._arrived()
        if self._item is None:
            return
        if not self._entries.is_untouched:
            self.shell.warn(f"Something is entered here; {key_of('bench.anew', '^n')} empties the item first.")
            return
        item = self._item.appliance

        def kept(record: NotInspected | None) -> None:
            if record is not None:
                self.call_next(self._go_past, item.uid, f"{item.tag} not inspected: {record.because}")

        desk = Desk(self.shell.register, self.shell.who, self.shell.today)
        await self.app.push_screen(FormScreen(NotInspectedForm(desk, (item,), self._visit)), kept)

    async def _go_past(self, left: Uid, said: str) -> None:
        self._items = items_for_visit(self.shell.register, self._visit)
        follower = next_to_do(self._items, left)
        if follower is None:
            await self._sum_up()
            return
        await self.open_item(follower, self._entries.kind)
        self._said = said
        self._show()

    async def action_skip(self, by: int) -> None:
        """Open the item before or after; what was entered here is kept."""
        await self._arrived()
        beside = neighbour(self._items, self._item.appliance.uid, by) if self._item else None
        if beside is not None:
            self.keep_draft()
            await self.open_item(beside, self._entries.kind)
        else:
            self._nowhere = "this is the first item" if by < 0 else "this is the last item"
            self._show()

    def take_found(self, item: Uid) -> bool:
        """Open an item of this visit that was scanned; what was entered here is kept."""
        if place_of(self._items, item) < 0:
            tag = self.shell.register.get(Appliance, item).tag
            self.shell.warn(f"{tag} is not part of this visit; here is its page, esc goes back to the Bench.")
            return False
        self.keep_draft()
        self.call_next(self.open_item, item, self._entries.kind)
        return True

    def place_for_new(self) -> str:
        """A new item is added at the site of the visit."""
        return site_of_visit(self, self._visit).name

    def take_new(self, tag: str) -> None:
        """Open the walk-round with a tag that no item has; what is to be tested at once comes onto the Bench."""
        self.keep_draft()
        walk_for_new(self, self._visit, tag, self._take_added)

    def _take_added(self, item: Uid) -> None:
        self._items = items_for_visit(self.shell.register, self._visit)
        self.take_found(item)

    def action_back(self) -> None:
        """Leave the bench; what was entered is kept."""
        self.keep_draft()
        super().action_back()

    async def _sum_up(self) -> None:
        self._summing = True
        await self.app.push_screen(VisitSumScreen(visit=self._visit), self._after_sum)

    async def _after_sum(self, chosen: Uid | None) -> None:
        """Open the item chosen from the sum of the visit, or leave the bench."""
        if chosen is None:
            self.dismiss(None)
            return
        self._items = items_for_visit(self.shell.register, self._visit)
        await self.open_item(chosen)
        self._summing = False
