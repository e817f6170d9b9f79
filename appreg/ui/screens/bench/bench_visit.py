"""From item to item of a visit: open, skip, leave out, take back, and sum up at the end."""

from typing import TYPE_CHECKING, Final

from msgspec import Struct

from appreg.core.judging.instrument_accuracy import InstrumentAccuracy
from appreg.core.records.kept_records import Appliance, InspectionKind, Instrument, Site, Visit
from appreg.core.records.work_records import NotInspected
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid
from appreg.register.history.journal import End, journal_end
from appreg.register.opening.register_file import Register
from appreg.tasks.inspecting.finish_bench import inspected_elsewhere
from appreg.tasks.inspecting.follow_visit import items_to_read_again
from appreg.tasks.inspecting.keep_bench_draft import drafts_of_visit
from appreg.tasks.inspecting.open_bench import BenchItem, is_for_visit, item_of_visit, items_for_visit
from appreg.tasks.inspecting.record_inspection import SavedInspection
from appreg.tasks.inspecting.take_back_inspection import take_back_last
from appreg.tasks.records.state_uncertainty import accuracy_of
from appreg.tasks.standing.keep_remedial_actions import what_failed
from appreg.ui.screens.bench.bench_entries import BenchEntries
from appreg.ui.screens.bench.bench_filled import filled
from appreg.ui.screens.bench.bench_walk import (
    Walk,
    first_to_do,
    inspection_in,
    last_kept,
    neighbour,
    next_to_do,
)
from appreg.ui.screens.bench.new_on_bench import walk_for_new
from appreg.ui.screens.bench.visit_sum_screen import VisitSumScreen
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.forms.not_inspected_form import NotInspectedForm
from appreg.ui.shell.key_words import key_of

if TYPE_CHECKING:
    from appreg.ui.screens.bench.bench_screen import BenchScreen


_MANY: Final = 30
"""Items to be read again from which on all are: that is done in a thread."""


class _Found(Struct, frozen=True):
    """A visit as it was read."""

    end: End
    """Where the journal ended before."""
    walk: Walk
    stated: InstrumentAccuracy


def _found(register: Register, visit: Uid) -> _Found:
    end, walk = journal_end(register), Walk(items_for_visit(register, visit))
    instrument = register.get(Visit, visit).instrument
    return _Found(end, walk, accuracy_of(register.get(Instrument, instrument) if instrument else None))


class BenchVisit:
    """Brings the items of one visit onto the board, one after another."""

    def __init__(self, bench: "BenchScreen") -> None:
        """Serve one Bench."""
        self._bench = bench
        self.is_over = False
        """The sum of the visit lies over the Bench."""
        self._saved = 0
        """Inspections of the visit that are known."""
        self._end: End = {}
        """Where the journal ended when its items were read."""
        self._kept_here: list[Uid] = []
        """Inspections kept on this Bench, the last at the end."""

    async def begin(self, wanted: Uid | None) -> None:
        """Read the visit and open the item that is wanted, the one left half-filled, or the first to do."""
        if self._bench.state.item is not None:
            await self.come_back()
        elif await self.read():
            await self._start(wanted)

    async def read(self) -> bool:
        """Read the items of the visit, and what its instrument states; False where they cannot be read, which is told."""
        state, visit = self._bench.state, self._bench.state.visit
        found = await self._bench.read_beside(lambda own: _found(own, visit))
        if found is None:
            return False
        self._end, state.walk = found.end, found.walk
        self._saved = 1 + max((each.saved for each in state.walk), default=-1)
        state.stated = state.stated if found.stated == state.stated else found.stated
        return True

    async def read_news(self) -> frozenset[Uid] | None:
        """Read the items again that something happened to since, and tell which; None: all of them were read."""
        register, state = self._bench.shell.register, self._bench.state
        end = journal_end(register)
        if end == self._end:  # half-filled benches have no lines
            return frozenset()
        changed = items_to_read_again(register, state.visit, {each.appliance.uid for each in state.walk}, self._end)
        if changed is None or len(changed) > _MANY:
            await self.read()
            return None
        self._end = end
        for uid in changed:
            self.read_item(uid)
        return changed

    def read_item(self, appliance: Uid) -> None:
        """Read one item of the visit again, where it is one: that takes no longer where there are a thousand."""
        state = self._bench.state
        before = state.walk.item(appliance)
        if before is not None:
            now = item_of_visit(self._bench.shell.register, state.visit, before, next_saved=self._saved)
            self._saved += 1
            state.walk = state.walk.with_item(appliance, now)

    def take_kept(self, appliance: Uid) -> None:
        """Read the item again of which an inspection was kept here; where nobody else has written, all news is read."""
        self.read_item(appliance)
        register = self._bench.shell.register
        end = journal_end(register)
        if sum(end.values()) - sum(self._end.values()) == register.last_lines:
            self._end = end

    async def follow(self) -> None:
        """Show what was saved since: the items as they now are; what is entered here stays."""
        bench, state = self._bench, self._bench.state
        if state.item is None or self.is_over:
            return
        changed = await self.read_news()
        if changed is None or state.item.appliance.uid in changed:
            await self.read_again()
        # Where the Bench was left meanwhile nothing is there any more to be shown on.
        if (changed is None or changed) and bench.is_attached:
            self._show_walk()

    async def come_back(self) -> None:
        """Show the item and the way as they now are, after another screen; what is entered here stays."""
        await self.read_news()
        await self.read_again()
        self._show_walk()

    def _show_walk(self) -> None:
        bench, state = self._bench, self._bench.state
        if state.item is not None:
            self.name_place(state.item)
            bench.board.show_walk(state.walk, state.item.appliance.uid)
            bench.show_state()

    async def read_again(self) -> None:
        """Set the item out anew where it is another now, and say so where it was inspected elsewhere meanwhile."""
        bench, before = self._bench, self._bench.state.item
        await bench.typed_arrived()
        if before is None:
            return
        now = bench.attempt(lambda: bench.opened(before.appliance.uid))
        if now is None or now == before:
            return
        await bench.set_out(before.appliance.uid, bench.state.entries)
        shown = {*bench.state.known, *(past.inspection.uid for past in before.history)}
        for past in now.history:
            if past.inspection.uid not in shown and not (past.superseded or past.taken_back):
                bench.shell.warn(inspected_elsewhere(now.appliance, past.inspection, past.person))

    async def _next_to_do(self, after: Uid) -> Uid | None:
        """The next item that is still to do at any desk; what others added is looked for once none is left."""
        state = self._bench.state
        follower = next_to_do(state.walk, after)
        while follower is not None:
            self.read_item(follower)
            expected, follower = follower, next_to_do(state.walk, after)
            if follower == expected:
                return follower
        await self.read_news()
        return next_to_do(state.walk, after)

    async def _start(self, wanted: Uid | None) -> None:
        state = self._bench.state
        left = [draft.appliance for draft in drafts_of_visit(self._bench.shell.register, state.visit)]
        first = wanted or next(iter(left), None) or first_to_do(state.walk)
        await (self.open(first) if first is not None else self._sum_up())

    async def open(self, appliance: Uid, kind: InspectionKind = InspectionKind.COMBINED) -> None:
        """Open an item, with what was entered for it before a crash or a skip."""
        bench, state = self._bench, self._bench.state
        draft, kept = bench.drafts.find(appliance), inspection_in(state.walk, appliance)
        found = filled(bench.shell.register, appliance, kind, draft=draft, kept=kept)
        if found.refused:
            bench.shell.warn(found.refused)
        state.opened, state.nowhere = found.as_kept, ""
        await bench.set_out(appliance, found.entries)
        if state.item is not None and state.item.appliance.uid == appliance:
            state.come_onto_bench()
        anew = key_of("bench.anew", "^n")
        if draft is not None:
            bench.say(f"resumed {draft.saved_at}, {anew} anew")
        elif kept is not None:
            bench.say(f"kept: {kept.outcome}, {anew} anew")

    def name_place(self, item: BenchItem) -> None:
        """Say which item of which visit this is."""
        register, state = self._bench.shell.register, self._bench.state
        visit = register.get(Visit, state.visit)
        site = item.site if item.site.uid == visit.site else register.get(Site, visit.site)
        kind = "look only" if state.entries.kind is InspectionKind.VISUAL else "Visit"
        place = state.walk.place_of(item.appliance.uid) + 1
        kept = ["kept"] if inspection_in(state.walk, item.appliance.uid) is not None else []
        where = " · ".join([*self._linked(item), *kept, f"item {place} of {len(state.walk)}, by room"])
        self._bench.show_place(f"Bench · {kind} {date_words(visit.date)} · {site.name}", where)

    def _linked(self, item: BenchItem) -> list[str]:
        """For a detachable cord set what it feeds, for an item the cord sets that feed it."""
        register, feeds = self._bench.shell.register, item.appliance.feeds
        fed_by = register.find(Appliance, feeds=item.appliance.uid)
        fed = [f"feeds {register.get(Appliance, feeds).tag}"] if feeds else []
        return [*fed, *(f"fed by {cord.tag}" for cord in fed_by)]

    async def go_to_next(self, saved: SavedInspection) -> None:
        """Open the item that comes after one that was kept, or sum up."""
        state, kept = self._bench.state, saved.inspection
        self._kept_here.append(kept.uid)
        follower = await self._next_to_do(saved.appliance.uid)
        if follower is None:
            state.entries = BenchEntries(kind=kept.kind)
        what = what_failed(saved.findings) if kept.outcome is Outcome.FAIL else ""
        undo = key_of("bench.undo", "^z")
        said = f"kept {saved.appliance.tag} {kept.outcome}, {undo} undo{f': {what}' if what else ''}"
        await self._open_next(follower, kept.kind, said)

    async def go_past(self, left: Uid, said: str) -> None:
        """Open the item that comes after one that is left as it is, or sum up."""
        self.read_item(left)
        await self._open_next(await self._next_to_do(left), self._bench.state.entries.kind, said)

    async def _open_next(self, follower: Uid | None, kind: InspectionKind, said: str) -> None:
        if follower is None:
            await self._sum_up()
            return
        await self.open(follower, kind)
        self._bench.say(said)

    async def skip(self, by: int) -> None:
        """Open the item before or after; what was entered here is kept."""
        state = self._bench.state
        beside = neighbour(state.walk, state.item.appliance.uid, by) if state.item else None
        if beside is not None:
            self._bench.drafts.keep()
            self.read_item(beside)
            await self.open(beside, state.entries.kind)
        else:
            state.nowhere = "this is the first item" if by < 0 else "this is the last item"
            self._bench.show_state()

    async def take_back(self) -> None:
        """Take back the last inspection kept here, else on this visit, and put its item on the board again."""
        bench = self._bench
        last = last_kept(bench.state.walk, self._kept_here)
        if last is None:
            bench.shell.warn("Nothing has been kept on this visit yet, so there is nothing to take back.")
            return
        bench.drafts.keep()
        register, who, here = bench.shell.register, bench.shell.who, self._kept_here
        item = bench.attempt(lambda: take_back_last(register, who, last, kept_here=here))
        if item is not None:
            await self.read_news()
            await self.open(item.uid)
            bench.say(f"taken back: {item.tag}")

    async def leave_out(self) -> None:
        """Say why the item is not inspected on this visit and open the next."""
        bench, state = self._bench, self._bench.state
        if state.item is None:
            return
        if not state.entries.is_untouched:
            bench.shell.warn(f"Something is entered here; {key_of('bench.anew', '^n')} empties the item first.")
            return
        item = state.item.appliance

        def kept(record: NotInspected | None) -> None:
            if record is not None:
                bench.call_next(self.go_past, item.uid, f"{item.tag} not inspected: {record.because}")

        desk = Desk(bench.shell.register, bench.shell.who, bench.shell.today)
        await bench.app.push_screen(FormScreen(NotInspectedForm(desk, (item,), state.visit)), kept)

    def take_found(self, item: Uid) -> bool:
        """Open an item of this visit that was scanned; what was entered here is kept."""
        bench, state = self._bench, self._bench.state
        self.read_item(item)
        register = bench.shell.register
        if state.walk.place_of(item) < 0 and not is_for_visit(register, state.visit, item):
            tag = register.get(Appliance, item).tag
            bench.shell.warn(f"{tag} is not part of this visit; here is its page, esc goes back to the Bench.")
            return False
        bench.drafts.keep()
        bench.call_next(self._open_found, item, state.entries.kind)
        return True

    async def _open_found(self, item: Uid, kind: InspectionKind) -> None:
        if self._bench.state.walk.place_of(item) < 0:
            await self.read()
        await self.open(item, kind)

    def take_new(self, tag: str) -> None:
        """Open the walk-round with a tag that no item has; what was entered here is kept."""
        self._bench.drafts.keep()
        walk_for_new(self._bench, self._bench.state.visit, tag, self._take_added)

    def _take_added(self, item: Uid) -> None:
        self.take_found(item)

    async def _sum_up(self) -> None:
        self.is_over = True
        await self._bench.app.push_screen(
            VisitSumScreen(visit=self._bench.state.visit, kept_here=self._kept_here), self._after_sum
        )

    async def _after_sum(self, chosen: Uid | None) -> None:
        """Open the item chosen from the sum of the visit, or leave the bench."""
        if chosen is None:
            self._bench.dismiss(None)
            return
        await self.read_news()
        await self.open(chosen)
        self.is_over = False
