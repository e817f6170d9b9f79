"""Plan: days out that keep nothing overdue, as somebody left them; acts upon them, and what goes late then."""

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import ClassVar, Final

from textual import events, on
from textual.containers import Horizontal
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.records.kept_records import Site
from appreg.core.values.counted_words import counted
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.text import shown
from appreg.core.values.uids import Uid
from appreg.progress import Progress
from appreg.schedule.typed_days import rule_in_words
from appreg.tasks.planning.keep_plan import kept_plans
from appreg.tasks.planning.live_plan import LivePlan
from appreg.tasks.planning.what_if import WhatIf, what_if
from appreg.tasks.planning.what_stays import Supposition
from appreg.tasks.planning.write_calendar import write_calendar
from appreg.ui.lists.row_sources import MemoryRows
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.asking.ask_for_file import ask_for_file
from appreg.ui.screens.asking.file_form import FileForm
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.long_work.long_work_screen import Done, LongWorkScreen
from appreg.ui.screens.plan.plan_acts import NO_PLAN, PLAN_ACTS
from appreg.ui.screens.plan.plan_form import WhatIfForm
from appreg.ui.screens.plan.plan_making import PLAN_MAKING, PlanMaking, name_of
from appreg.ui.screens.plan.plan_rows import (
    PLAN_COLUMNS,
    PlanRow,
    columns_for,
    key_of,
    plan_rows,
    visit_lines,
    week_view,
)
from appreg.ui.screens.plan.plan_words import (
    comparison,
    proof,
    trouble_words,
    unlimited_words,
    what_if_words,
    wishes_words,
    yearly_words,
)
from appreg.ui.shell.commands import Command
from appreg.ui.shell.key_words import key_of as named_key
from appreg.ui.widgets.beside import Beside
from appreg.ui.widgets.week_strip import WeekStrip

CALENDAR = ".ics"
_MANY = 3
_EMPTY: Final = f"no visit is planned: {named_key('plan.set_wishes', 'p')} plans"


class PlanScreen(PlanMaking[None]):
    """The weeks of the plan, its visits, what it is held against, and what an act upon it does."""

    CSS_PATH = "plan_screen.tcss"
    DATED = True
    TITLE_IN_HELP = "Plan"
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(
            action="open_visit",
            key="enter",
            label="visit",
            help="Show what is done on the visit under the cursor; some of it can be split off there.",
            at_cursor=True,
        ),
        *PLAN_ACTS,
        *PLAN_MAKING,
        Command(
            action="export",
            key="e",
            label="export",
            help="Write a calendar file with the visits, and with what is overdue today.",
        ),
        Command(
            action="what_if",
            key="w",
            label="what if",
            help="Suppose other rules at the sites of the visits chosen, or of the one under the cursor; nothing is saved.",
            at_cursor=True,
        ),
    )

    def __init__(self) -> None:
        super().__init__()
        self.proofs = {}
        self._compared: WhatIf | None = None
        self._said = ""
        self._rows: MemoryRows[PlanRow] = MemoryRows(PLAN_COLUMNS, (), key=key_of)

    def make_list(self) -> VirtualTable:
        """The visits."""
        return VirtualTable(PLAN_COLUMNS, empty=_EMPTY, unit="visits")

    def compose_body(self) -> Iterable[Widget]:
        """Comparison and proof, the weeks, the visits with one of them in full beside, what goes late."""
        yield Static(id="comparison", markup=False)
        yield Static(id="yearly", markup=False)
        yield Static(id="proof", markup=False)
        yield Static(id="unlimited", markup=False)
        yield WeekStrip()
        with Horizontal(classes="both"):
            yield from super().compose_body()
            yield Beside()
        yield Static(id="said", markup=False)
        yield Static(id="late", markup=False)

    def on_mount(self) -> None:
        """Go on with the plan that was worked on last, or plan at once."""
        kept = kept_plans(self.shell.register)
        own = [each for each in kept if each.whose == self.shell.who] or list(kept)
        if own:
            self.open_kept(own[0].uid)
        else:
            self.make_plan(self.wishes)

    def load(self) -> None:
        """Show the plan; where anything was saved elsewhere since, follow it through what holds now."""
        plan = self.live
        self.table.empty = self.shell.in_present_keys(_EMPTY)
        if plan is None:
            self.show_place("Plan")
            return
        if self.now() != self.seen:
            self.follow(plan, self._said)
        else:
            self._show(plan)

    def take(self, plan: LivePlan, *, at: str | None = None, said: str = "") -> None:
        """Work on with another state of the plan; what was supposed of the one before is let go."""
        self.live, self._compared, self._said = plan, None, said
        self._show(plan, at=at)
        if self._standing and self.now() != self.seen:  # under a form, load() does once it comes back
            self.follow(plan, said)

    def _show(self, plan: LivePlan, *, at: str | None = None) -> None:
        wishes = plan.ground.wishes
        crews = [each.name for each in plan.ground.crews.values()]
        named = plan.kept.name if plan.kept else _sites_words([trip.sites[0] for trip in plan.ground.trips.values()])
        past = f" · {plan.past} past" if plan.past else ""
        self.show_place(f"Plan · {shown(named)}{past}", wishes_words(wishes, rule_in_words(wishes.days), crews))
        columns = columns_for(plan)
        self.table.set_columns(columns)
        self._rows = MemoryRows(columns, plan_rows(plan), key=key_of)
        self.pane.show(self._rows)
        if at is not None:
            self.table.move_to(at)
        self._put("comparison", comparison(plan, self.size.width))
        self._put("yearly", Content(yearly_words(plan)))
        self._put("proof", Content(self.shell.in_present_keys(proof(self.proofs.get(name_of(plan))))))
        self._put("unlimited", Content.styled(self.shell.in_present_keys(unlimited_words(plan)), "$doubt"))
        self._put("said", Content.styled(shown(self.shell.in_present_keys(self._said)), "$accent"))
        self._put("late", what_if_words(self._compared) if self._compared else trouble_words(plan))
        self._show_visit()

    def _put(self, place: str, words: Content) -> None:
        line = self.query_one(f"#{place}", Static)
        line.update(words)
        if place in ("unlimited", "said"):
            line.display = bool(words.plain)

    def on_resize(self, event: events.Resize) -> None:
        """Say as much of the comparison as there is room for."""
        super().on_resize(event)
        if self.live is not None:
            self._put("comparison", comparison(self.live, event.size.width))

    @on(VirtualTable.Moved)
    @on(VirtualTable.Arranged)
    def _show_visit(self) -> None:
        plan = self.live
        if plan is None or not plan.ground.trips:
            return
        row = self._rows.item(self.table.cursor_key or "")
        self.query_one(WeekStrip).view = week_view(plan, row.visit.day if row else None)
        beside = self.query_one(Beside)
        if row is None:
            beside.tell("", ())
        else:
            beside.tell(f"{row.visit.site.name} · {date_words(row.visit.day)}", tuple(visit_lines(plan, row)))

    @on(VirtualTable.Opened)
    def action_open_visit(self) -> None:
        """Show what is done on the visit under the cursor."""
        self.open_visit()

    def action_what_if(self) -> None:
        """Ask what is supposed, then show both sides."""
        plan = self.live
        chosen = [visit for key in self.table.keys_to_act_on() if plan and (visit := plan.visit(key))]
        if not chosen:
            self.say_no_row()
            return
        sites = tuple({visit.site.uid: visit.site for visit in chosen}.values())

        def kept(supposition: Supposition | None) -> None:
            if supposition is not None:
                self._suppose(tuple(site.uid for site in sites), supposition)

        self.app.push_screen(FormScreen(WhatIfForm(self.desk, sites)), kept)

    def _suppose(self, sites: Sequence[Uid], supposition: Supposition) -> None:
        shell, wishes = self.shell, self.wishes

        def work(progress: Progress) -> WhatIf:
            with shell.register.reopen() as register:
                trips = [(uid,) for uid in sites]
                return what_if(
                    register, trips=trips, wishes=wishes, supposition=supposition, today=shell.today, progress=progress
                )

        def compared(done: Done[WhatIf] | None) -> None:
            if done is not None and self.live is not None:
                self._compared = done.value
                self._show(self.live, at=self.table.cursor_key)

        self.app.push_screen(LongWorkScreen("Planning as it is, and as supposed", work), compared)

    def action_export(self) -> None:
        """Ask where to, then write the calendar."""
        plan = self.live
        if plan is None:
            self.shell.say(NO_PLAN)
            return
        said = (f"{counted(len(plan.visits), 'visit')} as events, what is overdue today as to-dos.",)
        form = FileForm(self.desk, title="Export the calendar", stem="visits", said=said, suffix=CALENDAR)
        ask_for_file(self, form, then=self._export_to)

    def _export_to(self, out: Path, replace: bool) -> None:
        plan, shell = self.live, self.shell
        if plan is None:
            return
        written = datetime.fromtimestamp(shell.clock() / 1000, tz=UTC)
        trips = plan.trips
        with self.saving():
            done = self.attempt(
                lambda: write_calendar(
                    shell.register, shell.who, trips=trips, out=out, replace=replace, today=shell.today, written=written
                )
            )
        if done is not None:
            shell.say(done.words())


def _sites_words(sites: Sequence[Site]) -> str:
    names = [site.name for site in sites]
    return ", ".join(names) if len(names) < _MANY else f"{len(names)} sites"
