"""One item under inspection: what is entered so far, what it comes to, and its half-filled bench on disk."""

from collections.abc import Callable, Sequence

from appreg.clock import system_clock
from appreg.core.judging.inspection_judging import TypedJudgement
from appreg.core.records.appliances import Fact
from appreg.core.records.checks import Check
from appreg.core.records.kept_records import Appliance, InspectionKind, Instrument, Visit
from appreg.core.rules.assumptions import words_of
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.opening.register_file import Register
from appreg.tasks.inspecting.keep_bench_draft import bench_draft
from appreg.tasks.inspecting.open_bench import BenchItem, Recorded, items_for_visit, open_bench
from appreg.tasks.inspecting.record_repair import open_actions
from appreg.tasks.inspecting.write_drafts_beside import DraftWriter
from appreg.tasks.records.change_record import change_record
from appreg.tasks.records.state_uncertainty import accuracy_of
from appreg.ui.screens.bench.bench_entries import BenchEntries
from appreg.ui.screens.bench.bench_filled import filled
from appreg.ui.screens.bench.bench_known import (
    assumed_at,
    readings_words,
    with_class_denied,
    with_confirmed,
    with_mark_turned,
    with_read_so,
)
from appreg.ui.screens.bench.bench_lines import BenchLine, bench_lines
from appreg.ui.screens.bench.bench_state import BenchState, time_of_day
from appreg.ui.screens.bench.bench_view import LineView, line_view
from appreg.ui.screens.bench.bench_walk import Walk, inspection_in
from appreg.ui.screens.bench.bench_words import OTHER_DESK


class LineBench:
    """Holds what the Bench holds of one item; every change of it is on disk before the next question."""

    def __init__(
        self,
        register: Register,
        who: str,
        visit: Uid,
        appliance: Uid,
        kind: InspectionKind,
        *,
        warn: Callable[[str], None],
    ) -> None:
        """Open an item of a visit, with what was entered for it before; `warn` says what must be said of it."""
        self.register = register
        self.who = who
        self.state = BenchState(visit)
        self.resumed = ""
        """When what was half-filled was last kept; empty where nothing was."""
        self._writer = DraftWriter(register, who)
        self._warn = warn
        self._is_shared = False
        """It was said that another desk has the item on its bench too."""
        instrument = register.get(Visit, visit).instrument
        self.state.stated = accuracy_of(register.get(Instrument, instrument) if instrument else None)
        self.open(appliance)
        self.state.come_onto_bench()
        self._fill(appliance, kind)

    @property
    def item(self) -> BenchItem:
        """The item at hand."""
        if self.state.item is None:
            raise LookupError("nothing is on the bench")
        return self.state.item

    @property
    def judged(self) -> TypedJudgement:
        """What is entered comes to."""
        if self.state.judged is None:
            raise LookupError("nothing is on the bench")
        return self.state.judged

    @property
    def entries(self) -> BenchEntries:
        """What is entered so far."""
        return self.state.entries

    @property
    def kept(self) -> Recorded | None:
        """What was kept of the item on this visit."""
        return inspection_in(self.state.walk, self.item.appliance.uid)

    @property
    def now(self) -> str:
        """The time of day."""
        return time_of_day(system_clock())

    def open(self, appliance: Uid) -> None:
        """Read the item as it now is."""
        state = self.state
        day = self.register.get(Visit, state.visit).date
        state.item = open_bench(self.register, appliance, today=day, visit=state.visit)
        state.walk = Walk(items_for_visit(self.register, state.visit))
        state.actions = open_actions(self.register, appliance)

    def open_anew(self, kind: InspectionKind) -> None:
        """Read the item as it now is, and what was left of it, as an inspection of that kind."""
        appliance = self.item.appliance.uid
        self.open(appliance)
        self.state.come_onto_bench()
        self._fill(appliance, kind)

    def _fill(self, appliance: Uid, kind: InspectionKind) -> None:
        """Take what was left of it, as an inspection of the kind that is asked for now."""
        draft = bench_draft(self.register, visit=self.state.visit, appliance=appliance)
        found = filled(self.register, appliance, kind, draft=draft, kept=self.kept)
        self.state.entries, self.state.opened = found.entries.of_kind(kind), found.as_kept
        if draft is not None:
            self._writer.read(appliance, draft.body)
        if found.refused:
            self._warn(found.refused)
        elif draft is not None:
            self.resumed = draft.saved_at

    def change(self, entries: BenchEntries) -> None:
        """Hold what is entered now, on disk too."""
        if entries == self.entries:
            return
        self.state.entries = entries
        entered = self.state.entered(self.now)
        if entered is not None and self._writer.write_now(entered) and not self._is_shared:
            self._is_shared = True
            self._warn(OTHER_DESK)

    def lines(self) -> tuple[BenchLine, ...]:
        """The lines that the item needs."""
        return bench_lines(self.item, self.entries)

    def view(self, line: BenchLine) -> LineView:
        """What one line says as things stand."""
        return line_view(line, self.item, self.entries, self.judged, self.state.stated)

    def learn(self, item: Appliance, measured: Sequence[Fact] = ()) -> None:
        """Keep what was found out about the item, and judge it anew; raises InputRefused."""
        change_record(self.register, self.who, item, opened=self.item.appliance, measured=measured)
        self.open(item.uid)

    def assumed_at(self, check: Check | None) -> list[Fact]:
        """What a check takes from the category; of the outcome all that it waits for."""
        return assumed_at(check, self.item, self.judged)

    def confirm(self, facts: Sequence[Fact]) -> None:
        """Say that these facts are so on the item."""
        self.learn(with_confirmed(self.item, facts))

    def confirm_at(self, check: Check | None) -> str:
        """Confirm what a check, or the outcome, takes for granted, else its doubted readings; returns a sentence.

        Raises InputRefused where there is nothing of the kind.
        """
        if assumed := self.assumed_at(check):
            words = words_of(self.item.rules.facts, assumed)
            self.confirm(assumed)
            return f"Confirmed: {words}."
        doubts = self.judged.doubts(check)
        if not doubts:
            raise InputRefused("Nothing here is assumed or doubted.")
        self.change(with_read_so(self.entries, doubts))
        return f"Confirmed as read: {readings_words(doubts)}."

    def deny_class(self) -> None:
        """It is not what its category has it to be."""
        self.learn(with_class_denied(self.item))

    def turn_unsuitable(self) -> None:
        """Mark the item as one that 500 V must not be applied to, or take the mark away."""
        self.learn(with_mark_turned(self.item))
