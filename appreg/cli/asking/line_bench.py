"""One item under inspection: what is entered so far, what it comes to, and its half-filled bench on disk."""

from collections.abc import Sequence

from msgspec.structs import replace

from appreg.clock import system_clock
from appreg.core.judging.inspection_judging import TypedJudgement
from appreg.core.records.appliances import ApplianceClass, Fact
from appreg.core.records.checks import Check
from appreg.core.records.kept_records import Appliance, InspectionKind, Instrument, Visit
from appreg.core.records.provenance import assuming
from appreg.core.rules.assumptions import BEHIND, SEEN_AT_ONCE
from appreg.core.rules.rcd_limits import RCD_CHECKS
from appreg.core.values.uids import Uid
from appreg.register.opening.register_file import Register
from appreg.tasks.inspecting.keep_bench_draft import bench_as_kept, bench_draft, drop_bench_draft, keep_bench_draft
from appreg.tasks.inspecting.open_bench import BenchItem, items_for_visit, open_bench
from appreg.tasks.inspecting.record_repair import open_actions
from appreg.tasks.records.change_record import change_record
from appreg.tasks.records.state_uncertainty import accuracy_of
from appreg.ui.screens.bench.bench_entries import BenchEntries, entries_from_json
from appreg.ui.screens.bench.bench_lines import BenchLine, bench_lines
from appreg.ui.screens.bench.bench_state import BenchState, time_of_day
from appreg.ui.screens.bench.bench_view import LineView, line_view
from appreg.ui.screens.bench.bench_walk import inspection_in


class LineBench:
    """Holds what the Bench holds of one item; every change of it is on disk before the next question."""

    def __init__(self, register: Register, who: str, visit: Uid, appliance: Uid, kind: InspectionKind) -> None:
        """Open an item of a visit, with what was entered for it before."""
        self.register = register
        self.who = who
        self.state = BenchState(visit)
        self.resumed = ""
        """When what was half-filled was last kept; empty where nothing was."""
        instrument = register.get(Visit, visit).instrument
        self.state.stated = accuracy_of(register.get(Instrument, instrument) if instrument else None)
        self.state.entries = BenchEntries(kind=kind)
        self.open(appliance)
        self.state.come_onto_bench()
        self._find(appliance)

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
    def now(self) -> str:
        """The time of day."""
        return time_of_day(system_clock())

    def open(self, appliance: Uid) -> None:
        """Read the item as it now is."""
        state = self.state
        day = self.register.get(Visit, state.visit).date
        state.item = open_bench(self.register, appliance, today=day, visit=state.visit)
        state.items = items_for_visit(self.register, state.visit)
        state.actions = open_actions(self.register, appliance)

    def _find(self, appliance: Uid) -> None:
        """Take what was left half-filled, or what an inspection of this visit kept."""
        draft = bench_draft(self.register, visit=self.state.visit, appliance=appliance)
        kept = inspection_in(self.state.items, appliance)
        if draft is not None:
            self.state.entries, self.resumed = entries_from_json(draft.body), draft.saved_at
        elif kept is not None and not any(action.repair for action in self.state.actions):
            body = bench_as_kept(self.register, kept.uid)
            if body:
                self.state.entries = entries_from_json(body).carrying()
                self.state.opened = self.state.entries

    def change(self, entries: BenchEntries) -> None:
        """Hold what is entered now, on disk too."""
        if entries == self.entries:
            return
        self.state.entries = entries
        appliance, visit = self.item.appliance.uid, self.state.visit
        if (entries.is_untouched and not entries.begun) or self.state.is_as_kept:
            drop_bench_draft(self.register, self.who, visit=visit, appliance=appliance)
        else:
            body = entries.to_json()
            keep_bench_draft(self.register, self.who, visit=visit, appliance=appliance, at=self.now, body=body)

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
        if check is None:
            behind: Sequence[Fact] = self.judged.judgement.unconfirmed
        elif check is Check.VISUAL:
            behind = tuple(SEEN_AT_ONCE)
        else:
            behind = (*BEHIND.get(check, ()), *((Fact.RCD_RATING,) if check in RCD_CHECKS else ()))
        return [fact for fact in self.item.rules.facts.assumed if fact in behind]

    def confirm(self, facts: Sequence[Fact]) -> None:
        """Say that these facts are so on the item."""
        self.learn(assuming(self.item.appliance, set(self.item.rules.facts.assumed) - set(facts)))

    def deny_class(self) -> None:
        """It is not what its category has it to be: the class is not known, so it is judged as Class I."""
        left = set(self.item.rules.facts.assumed) - {Fact.CLASS}
        self.learn(replace(assuming(self.item.appliance, left), appliance_class=ApplianceClass.UNKNOWN))

    def turn_unsuitable(self) -> bool:
        """Mark the item as one that 500 V must not be applied to, or take the mark away; tells whether it is marked."""
        marked = not self.item.appliance.unsuitable_500v
        self.learn(replace(self.item.appliance, unsuitable_500v=marked))
        return marked
