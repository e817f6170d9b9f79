"""Plan: the fewest visits that keep nothing overdue, moved by keys, and what would go overdue then."""

from collections.abc import Iterable
from datetime import UTC, datetime
from pathlib import Path
from typing import ClassVar

from msgspec.structs import replace
from textual import on
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.values.uids import Uid
from appreg.progress import Progress
from appreg.tasks.planning.draft_plan import PlanDraft, draft_of, move_planned_visit, steps_of_week
from appreg.tasks.planning.plan_visits import EstatePlan, PlanWishes, every_site_by_itself, plan_visits
from appreg.tasks.planning.what_if import Supposition, WhatIf, what_if
from appreg.tasks.planning.write_calendar import write_calendar
from appreg.ui.lists.list_screen import ListScreen
from appreg.ui.lists.row_sources import MemoryRows
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.asking.ask_for_file import ask_for_file
from appreg.ui.screens.asking.file_form import FileForm
from appreg.ui.screens.asking.pick_site import ask_for_site, site_words
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.long_work.long_work_screen import Done, LongWorkScreen
from appreg.ui.screens.plan.plan_form import MinutesForm, PlanForm, PlanSettings, WhatIfForm
from appreg.ui.screens.plan.plan_words import (
    PLAN_COLUMNS,
    PlanRow,
    comparison,
    costs,
    key_of,
    late_words,
    plan_rows,
    proof,
    unlimited_words,
    week_view,
    what_if_words,
    wishes_words,
)
from appreg.ui.screens.plan.planned_visit_screen import PlannedVisitScreen
from appreg.ui.shell.commands import Command
from appreg.ui.widgets.week_strip import WeekStrip

CALENDAR = ".ics"


class PlanScreen(ListScreen[None]):
    """The weeks of the plan, its visits, what it is held against, and what a moved visit does."""

    CSS_PATH = "plan_screen.tcss"
    DATED = True
    TITLE_IN_HELP = "Plan"
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(
            action="open_visit",
            key="enter",
            label="visit",
            help="Show what is done on the visit under the cursor.",
            at_cursor=True,
        ),
        Command(
            action="move_visit(-1)",
            key="left",
            label="move",
            help="Move the visit to the allowed day before; its work goes with it.",
            shown_key="← →",
            at_cursor=True,
        ),
        Command(
            action="move_visit(1)",
            key="right",
            label="later",
            help="Move the visit to the next allowed day.",
            in_footer=False,
            at_cursor=True,
        ),
        Command(
            action="move_week(-1)",
            key="shift+left",
            label="a week earlier",
            help="Move the visit a week earlier, or to the allowed day before that.",
            in_footer=False,
            at_cursor=True,
        ),
        Command(
            action="move_week(1)",
            key="shift+right",
            label="a week later",
            help="Move the visit a week later, or to the next allowed day.",
            in_footer=False,
            at_cursor=True,
        ),
        Command(action="undo_moves", key="u", label="undo", help="Put every visit back to the day proposed."),
        Command(action="set_wishes", key="p", label="plan", help="Say what the plan keeps to, and plan anew."),
        Command(
            action="set_minutes",
            key="m",
            label="minutes a day",
            help="Say how many minutes of work a day holds, and plan anew.",
        ),
        Command(action="pick_site", key="s", label="site", help="Plan one site only, or every site by itself."),
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
            help="Suppose other rules at the site of the visit under the cursor; nothing is saved.",
            at_cursor=True,
        ),
    )

    def __init__(self) -> None:
        super().__init__()
        self._settings: PlanSettings | None = None
        self._site: Uid | None = None
        self._draft: PlanDraft | None = None
        self._compared: WhatIf | None = None
        self._rows: MemoryRows[PlanRow] = MemoryRows(PLAN_COLUMNS, (), key=key_of)

    def make_list(self) -> VirtualTable:
        """The visits."""
        return VirtualTable(PLAN_COLUMNS, empty="no plan yet: p plans", unit="visits")

    def compose_body(self) -> Iterable[Widget]:
        """Comparison and proof, the weeks, the visits, what goes overdue."""
        yield Static(id="comparison", markup=False)
        yield Static(id="costs", markup=False)
        yield Static(id="proof", markup=False)
        yield Static(id="unlimited", markup=False)
        yield WeekStrip()
        yield from super().compose_body()
        yield Static(id="late", markup=False)

    def on_mount(self) -> None:
        """Plan at once."""
        self._plan()

    @property
    def settings(self) -> PlanSettings:
        """What the plan keeps to."""
        return self._settings or PlanSettings(wishes=PlanWishes(start=self.shell.today))

    @property
    def desk(self) -> Desk:
        """What forms work with."""
        return Desk(self.shell.register, self.shell.who, self.shell.present_day)

    def load(self) -> None:
        """Show the plan that was made."""
        said = wishes_words(self.settings.wishes, self.settings.days_in_words)
        self.show_place(f"Plan · {site_words(self, self._site)}", said)
        if self._draft is not None:
            self._show(self._draft)

    def _plan(self) -> None:
        shell, wishes, site = self.shell, self.settings.wishes, self._site

        def work(progress: Progress) -> EstatePlan:
            with shell.register.reopen() as register:
                trips = ((site,),) if site else every_site_by_itself(register)
                return plan_visits(register, trips=trips, wishes=wishes, progress=progress)

        self.app.push_screen(LongWorkScreen("Planning the visits", work), self._planned)

    def _planned(self, done: Done[EstatePlan] | None) -> None:
        if done is not None:
            self._take(draft_of(done.value))

    def _take(self, draft: PlanDraft, *, at: str | None = None) -> None:
        """Work on with another draft; what was supposed of the one before is let go."""
        self._draft, self._compared = draft, None
        self._show(draft, at=at)

    def _show(self, draft: PlanDraft, *, at: str | None = None) -> None:
        self._rows = MemoryRows(PLAN_COLUMNS, plan_rows(draft), key=key_of)
        self.pane.show(self._rows)
        if at is not None:
            self.table.move_to(at)
        self.query_one("#comparison", Static).update(comparison(draft))
        self.query_one("#costs", Static).update(Content(costs(draft.now)))
        self.query_one("#proof", Static).update(Content(proof(draft.proposed)))
        unlimited = self.shell.in_present_keys(unlimited_words(draft, self.settings.wishes))
        self.query_one("#unlimited", Static).update(Content.styled(unlimited, "$doubt"))
        self.query_one("#unlimited", Static).display = bool(unlimited)
        supposed = self._compared
        words = what_if_words(supposed) if supposed else late_words(draft.late, changed=draft.is_changed)
        self.query_one("#late", Static).update(words)
        self._show_weeks()

    @on(VirtualTable.Moved)
    @on(VirtualTable.Arranged)
    def _show_weeks(self) -> None:
        draft = self._draft
        if draft is None or not draft.now.trips:
            return
        row = self._row()
        self.query_one(WeekStrip).view = week_view(draft, row.draft.visit.day if row else None)

    def _row(self) -> PlanRow | None:
        return self._rows.item(self.table.cursor_key or "")

    @on(VirtualTable.Opened)
    def action_open_visit(self) -> None:
        """Show what is done on the visit under the cursor."""
        row = self._row()
        if row is None or self._draft is None:
            self.say_no_row()
        else:
            trip = self._draft.now.trips[row.draft.trip]
            self.app.push_screen(PlannedVisitScreen(trip, row.draft.visit))

    def action_move_visit(self, steps: int) -> None:
        """Move the visit under the cursor by allowed days."""
        row, draft = self._row(), self._draft
        if row is None or draft is None:
            self.say_no_row()
            return
        trip, day = row.draft.trip, row.draft.visit.day
        moved = self.attempt(lambda: move_planned_visit(draft, trip=trip, day=day, steps=steps))
        if moved is not None:
            self._take(moved[0], at=f"{trip} {moved[1].isoformat()}")

    def action_move_week(self, weeks: int) -> None:
        """Move the visit under the cursor by a week, to an allowed day."""
        row, draft = self._row(), self._draft
        if row is None or draft is None:
            self.say_no_row()
        else:
            self.action_move_visit(steps_of_week(draft, row.draft, weeks))

    def action_undo_moves(self) -> None:
        """Put every visit back."""
        if self._draft is None or not self._draft.is_changed:
            self.shell.say("No visit has been moved, so there is nothing to put back.")
        else:
            self._take(draft_of(self._draft.proposed), at=self.table.cursor_key)

    def action_set_wishes(self) -> None:
        """Ask what the plan keeps to, then plan anew."""

        def kept(settings: PlanSettings | None) -> None:
            if settings is not None:
                self._settings = settings
                self._plan()

        self.app.push_screen(FormScreen(PlanForm(self.desk, self.settings)), kept)

    def action_set_minutes(self) -> None:
        """Ask how many minutes a day holds, then plan anew."""

        def kept(minutes: int | None) -> None:
            if minutes is not None:
                self._settings = replace(self.settings, wishes=replace(self.settings.wishes, capacity_minutes=minutes))
                self._plan()

        self.app.push_screen(FormScreen(MinutesForm(self.desk, self.settings.wishes.capacity_minutes)), kept)

    def action_pick_site(self) -> None:
        """Ask which site is planned, then plan anew."""

        def picked(site: Uid | None) -> None:
            self._site = site
            self._plan()

        ask_for_site(self, "Plan which site?", now=self._site, then=picked)

    def action_what_if(self) -> None:
        """Ask what is supposed, then show both sides."""
        row, draft = self._row(), self._draft
        if row is None or draft is None:
            self.say_no_row()
            return
        sites = draft.now.trips[row.draft.trip].sites

        def kept(supposition: Supposition | None) -> None:
            if supposition is not None:
                self._suppose(tuple(site.uid for site in sites), supposition)

        self.app.push_screen(FormScreen(WhatIfForm(self.desk, sites)), kept)

    def _suppose(self, trip: tuple[Uid, ...], supposition: Supposition) -> None:
        shell, wishes = self.shell, self.settings.wishes

        def work(progress: Progress) -> WhatIf:
            with shell.register.reopen() as register:
                return what_if(
                    register, trip=trip, wishes=wishes, supposition=supposition, today=shell.today, progress=progress
                )

        def compared(done: Done[WhatIf] | None) -> None:
            if done is not None:
                self._compared = done.value
                self.load()

        self.app.push_screen(LongWorkScreen("Planning as it is, and as supposed", work), compared)

    def action_export(self) -> None:
        """Ask where to, then write the calendar."""
        draft = self._draft
        if draft is None:
            self.shell.say("There is no plan yet: p plans.")
            return
        said = (f"{draft.now.cost.visits} visits as events, what is overdue today as to-dos.",)
        form = FileForm(self.desk, title="Export the calendar", stem="visits", said=said, suffix=CALENDAR)
        ask_for_file(self, form, then=self._export_to)

    def _export_to(self, out: Path, replace: bool) -> None:
        draft, shell = self._draft, self.shell
        if draft is None:
            return
        written = datetime.fromtimestamp(shell.clock() / 1000, tz=UTC)
        trips = draft.now.trips
        done = self.attempt(
            lambda: write_calendar(
                shell.register, shell.who, trips=trips, out=out, replace=replace, today=shell.today, written=written
            )
        )
        if done is not None:
            shell.say(done.words())
