"""Plan: days out that keep nothing overdue, as somebody left them; acts upon them, and what goes late then."""

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import ClassVar

from msgspec.structs import replace
from textual import events, on
from textual.containers import Horizontal
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.records.kept_records import Site
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.text import shown
from appreg.core.values.uids import Uid
from appreg.errors import AppregError
from appreg.progress import Progress
from appreg.schedule.crew_planning import EFFORT_AN_ITEM, LEAST_EFFORT
from appreg.schedule.typed_days import rule_in_words
from appreg.tasks.planning.keep_plan import (
    kept_plans,
    load_plan,
    plan_anew,
    remove_plan,
    rename_plan,
    terms_text,
)
from appreg.tasks.planning.live_plan import LivePlan, gather_ground, live_estate, live_plan, planned_days
from appreg.tasks.planning.plan_visits import PlanWishes, plan_visits, trips_wished
from appreg.tasks.planning.what_if import WhatIf, what_if
from appreg.tasks.planning.what_stays import Supposition
from appreg.tasks.planning.write_calendar import write_calendar
from appreg.ui.lists.row_sources import MemoryRows
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.asking.ask_for_file import ask_for_file
from appreg.ui.screens.asking.choose_screen import ChooseScreen
from appreg.ui.screens.asking.file_form import FileForm
from appreg.ui.screens.asking.pick_screen import Answer, PickScreen
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.long_work.long_work_screen import Done, LongWorkScreen
from appreg.ui.screens.plan.plan_acts import PLAN_ACTS, PlanActs
from appreg.ui.screens.plan.plan_choices import crew_answers, site_answers
from appreg.ui.screens.plan.plan_form import MinutesForm, PlanForm, WhatIfForm
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
    PlanProof,
    comparison,
    proof,
    proof_of,
    trouble_words,
    unlimited_words,
    what_if_words,
    wishes_words,
    yearly_words,
)
from appreg.ui.screens.plan.visit_forms import PlanNameForm
from appreg.ui.shell.commands import Command
from appreg.ui.shell.key_words import key_of as named_key
from appreg.ui.widgets.beside import Beside
from appreg.ui.widgets.week_strip import WeekStrip

CALENDAR = ".ics"
_LONGER = 4
"""How many times longer each further search may take."""
_NEW = "new"
_MANY = 3


class _Made:
    """A plan with its proof, as the thread made it."""

    def __init__(self, plan: LivePlan, proven: PlanProof | None) -> None:
        self.plan, self.proven = plan, proven


class PlanScreen(PlanActs[None]):
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
        Command(action="set_wishes", key="p", label="plan", help="Say what the plan keeps to, and plan anew."),
        Command(action="pick_site", key="s", label="sites", help="Choose the sites that are planned, and plan anew."),
        Command(action="pick_crews", key="g", label="crews", help="Choose who goes out, and plan anew over them."),
        Command(
            action="set_minutes",
            key="m",
            label="minutes a day",
            help="Say how many minutes of work a day holds, and plan anew.",
            in_footer=False,
        ),
        Command(
            action="search_on",
            key="a",
            label="search longer",
            help="Search four times as long for fewer days out; what was found is kept where nothing better comes.",
            in_footer=False,
        ),
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
        Command(
            action="open_plan",
            key="o",
            label="open",
            help="Go on with another plan that is kept, or make a new one.",
            in_footer=False,
        ),
        Command(
            action="name_plan",
            key="k",
            label="keep",
            help="Keep the plan under a name, or give a kept one another; acts are kept at once in any case.",
            in_footer=False,
        ),
        Command(
            action="remove_plan",
            key="",
            label="remove the plan",
            help="Take the kept plan out; booked visits stay.",
            in_footer=False,
        ),
    )

    def __init__(self) -> None:
        super().__init__()
        self._wishes: PlanWishes | None = None
        self._proofs: dict[tuple[str, str], PlanProof] = {}
        self._compared: WhatIf | None = None
        self._said = ""
        self._rows: MemoryRows[PlanRow] = MemoryRows(PLAN_COLUMNS, (), key=key_of)

    def make_list(self) -> VirtualTable:
        """The visits."""
        return VirtualTable(PLAN_COLUMNS, empty="no visit is planned: p plans", unit="visits")

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
            self._open_kept(own[0].uid)
        else:
            self._plan(self.wishes)

    @property
    def wishes(self) -> PlanWishes:
        """What the plan keeps to."""
        if self.live is not None:
            return self.live.ground.wishes
        return self._wishes or PlanWishes(start=self.shell.today)

    def load(self) -> None:
        """Show the plan; where anything was saved elsewhere since, follow it through what holds now."""
        plan = self.live
        if plan is None:
            self.show_place("Plan")
            return
        if self.shell.register.last_instant() != self.seen or plan.ground.today != self.shell.today:
            self._follow(plan)
        else:
            self._show(plan)

    def _follow(self, plan: LivePlan, said: str = "") -> None:
        """Read the items, bookings and rows of the plan again."""
        shell, kept, wishes = self.shell, plan.kept.uid if plan.kept else None, plan.ground.wishes
        days = planned_days(plan)
        self.seen = shell.register.last_instant()

        def work(progress: Progress) -> _Made:
            with shell.register.reopen() as register:
                loaded = load_plan(register, kept) if kept else None
                asked = loaded.wishes if loaded else wishes
                ground = gather_ground(register, asked, today=shell.today, progress=progress)
                return _Made(live_plan(register, ground, kept=loaded, days=days), None)

        def followed(done: Done[_Made] | None) -> None:
            if done is not None:
                self.take(done.value.plan, at=self.table.cursor_key, said=said)
            elif self.live is not None:
                self._show(self.live)

        self.app.push_screen(LongWorkScreen("Reading what holds now", work), followed)

    def _open_kept(self, kept: Uid) -> None:
        shell = self.shell
        self.seen = shell.register.last_instant()

        def work(progress: Progress) -> _Made:
            with shell.register.reopen() as register:
                loaded = load_plan(register, kept)
                ground = gather_ground(register, loaded.wishes, today=shell.today, progress=progress)
                return _Made(live_plan(register, ground, kept=loaded), None)

        def opened(done: Done[_Made] | None) -> None:
            if done is not None:
                self.take(done.value.plan)

        self.app.push_screen(LongWorkScreen("Opening the plan", work), opened)

    def _plan(self, wishes: PlanWishes, *, said: str = "", better_only: bool = False) -> None:
        """Make a plan to these wishes; one that is kept gets it as one act, which can be undone."""
        shell, before = self.shell, self.live
        self.seen = shell.register.last_instant()

        def work(progress: Progress) -> _Made:
            with shell.register.reopen() as register:
                estate = plan_visits(register, trips=trips_wished(register, wishes), wishes=wishes, progress=progress)
                return _Made(live_estate(register, estate, wishes, today=shell.today), proof_of(estate))

        def planned(done: Done[_Made] | None) -> None:
            if done is not None:
                self._planned(done.value, before, said, better_only=better_only)

        self.app.push_screen(LongWorkScreen("Planning the visits; esc takes the best plan until then", work), planned)

    def _planned(self, made: _Made, before: LivePlan | None, said: str, *, better_only: bool) -> None:
        plan = made.plan
        if better_only and before is not None and _worth(plan) >= _worth(before):
            self.take(before, said="nothing better was found: the plan stays as it is")
            return
        if before is not None and said and not self.shell.register.read_only:
            plan = self.attempt(partial(self._keep_made, plan, before, said)) or plan
        if made.proven is not None:
            self._proofs[_name_of(plan)] = made.proven
        self.take(plan, said=said)

    def _keep_made(self, plan: LivePlan, before: LivePlan, said: str) -> LivePlan:
        """A plan made to terms of somebody's own is kept, or takes the place of the one before as one act."""
        register, who, wishes, visits = self.shell.register, self.shell.who, plan.ground.wishes, planned_days(plan)
        if before.kept is None:
            self.live = plan
            return self.keep_if_new()
        plan_anew(register, who, before.kept.uid, wishes=wishes, visits=visits, said=said)
        return self.read_again(plan, before.kept.uid)

    def take(self, plan: LivePlan, *, at: str | None = None, said: str = "") -> None:
        """Work on with another state of the plan; what was supposed of the one before is let go."""
        self.live, self._compared, self._said = plan, None, said
        self._show(plan, at=at)

    def went_back(self, plan: LivePlan, kept: Uid, said: str) -> None:
        """After a step back or forth the terms may be others, and the items with them."""
        if load_plan(self.shell.register, kept).wishes != plan.ground.wishes:
            self._follow(plan, said)
        else:
            super().went_back(plan, kept, said)

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
        self._put("proof", Content(self.shell.in_present_keys(proof(self._proofs.get(_name_of(plan))))))
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

    def action_set_wishes(self) -> None:
        """Ask what the plan keeps to, then plan anew."""

        def kept(wishes: PlanWishes | None) -> None:
            if wishes is not None:
                self._plan(replace(wishes, effort=None), said="planned anew to other terms")

        self.app.push_screen(FormScreen(PlanForm(self.desk, self.wishes)), kept)

    def action_set_minutes(self) -> None:
        """Ask how many minutes a day holds, then plan anew."""

        def kept(minutes: int | None) -> None:
            if minutes is not None:
                self._plan(
                    replace(self.wishes, capacity_minutes=minutes), said=f"planned anew with {minutes} min a day"
                )

        self.app.push_screen(FormScreen(MinutesForm(self.desk, self.wishes.capacity_minutes)), kept)

    def action_pick_site(self) -> None:
        """Ask which sites are planned, then plan anew."""
        answers = site_answers(self.shell.register, self.shell.today)

        def chosen(sites: tuple[str, ...] | None) -> None:
            if sites is not None:
                keys = tuple(Uid(each) for each in sites)
                self._plan(replace(self.wishes, sites=keys), said=f"planned anew for {_counted(len(keys), 'site')}")

        question = "Plan which sites? The worst come first"
        self.app.push_screen(ChooseScreen(question, answers, now=self.wishes.sites), chosen)

    def action_pick_crews(self) -> None:
        """Ask who goes out, then plan anew."""
        answers = crew_answers(self.shell.register)
        if not answers:
            self.shell.say(f"No crew is known yet: add one under {named_key('app.palette', 'ctrl+p')}, crews.")
            return

        def chosen(crews: tuple[str, ...] | None) -> None:
            if crews is not None:
                keys = tuple(Uid(each) for each in crews) or tuple(Uid(each.key) for each in answers)
                self._plan(replace(self.wishes, crews=keys), said=f"planned anew over {_counted(len(keys), 'crew')}")

        self.app.push_screen(ChooseScreen("Which crews go out?", answers, now=self.wishes.crews), chosen)

    def action_search_on(self) -> None:
        """Search longer; the better of both plans stays."""
        plan = self.live
        if plan is None or not plan.ground.has_hours:
            self.shell.say("Without hours the search ends by itself; name crews or minutes a day first.")
            return
        items = sum(len(trip.items) for trip in plan.ground.trips.values())
        effort = _LONGER * (plan.ground.wishes.effort or LEAST_EFFORT + EFFORT_AN_ITEM * items)
        self._plan(
            replace(plan.ground.wishes, effort=effort), said="planned anew with a longer search", better_only=True
        )

    def action_open_plan(self) -> None:
        """Ask which plan to go on with."""
        kept = kept_plans(self.shell.register)
        answers = [Answer(_NEW, "+ a new plan")]
        answers += [
            Answer(each.uid, f"{each.name} · {each.whose} · {date_words(each.made_on)} · {_counted(each.step, 'act')}")
            for each in kept
        ]

        def picked(key: str | None) -> None:
            if key == _NEW:
                self.live = None
                self._plan(PlanWishes(start=self.shell.today))
            elif key is not None:
                self._open_kept(Uid(key))

        now = self.live.kept.uid if self.live and self.live.kept else None
        self.app.push_screen(PickScreen("Go on with which plan?", answers, now=now), picked)

    def action_name_plan(self) -> None:
        """Ask under which name the plan is kept."""
        now = self.live.kept.name if self.live and self.live.kept else ""
        self.app.push_screen(FormScreen(PlanNameForm(self.desk, now, self._keep_as)))

    def _keep_as(self, name: str) -> None:
        plan, register = self.live, self.shell.register
        if plan is None or plan.kept is None:
            new = self.keep_if_new(name)
            self.take(new, said=f"kept as {name}")
        else:
            rename_plan(register, self.shell.who, plan.kept.uid, name=name)
            self.take(self.read_again(plan, plan.kept.uid), said=f"kept as {name}")

    def action_remove_plan(self) -> None:
        """Take the kept plan out."""
        plan = self.live
        if plan is None or plan.kept is None:
            self.shell.say("This plan is not kept, so there is nothing to remove.")
            return
        kept = plan.kept
        try:
            remove_plan(self.shell.register, self.shell.who, kept.uid)
        except AppregError as refusal:
            self.shell.warn(str(refusal))
            return
        self.shell.say(f"The plan {kept.name} is removed; booked visits stay.")
        self.live = None
        self._plan(PlanWishes(start=self.shell.today))

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
            self.shell.say("There is no plan yet: p plans.")
            return
        said = (f"{_counted(len(plan.visits), 'visit')} as events, what is overdue today as to-dos.",)
        form = FileForm(self.desk, title="Export the calendar", stem="visits", said=said, suffix=CALENDAR)
        ask_for_file(self, form, then=self._export_to)

    def _export_to(self, out: Path, replace: bool) -> None:
        plan, shell = self.live, self.shell
        if plan is None:
            return
        written = datetime.fromtimestamp(shell.clock() / 1000, tz=UTC)
        trips = plan.trips
        done = self.attempt(
            lambda: write_calendar(
                shell.register, shell.who, trips=trips, out=out, replace=replace, today=shell.today, written=written
            )
        )
        if done is not None:
            self.seen = shell.register.last_instant()
            shell.say(done.words())


def _name_of(plan: LivePlan) -> tuple[str, str]:
    """A plan and its terms, which a proof is about."""
    return plan.kept.uid if plan.kept else "", terms_text(plan.ground.wishes)


def _worth(plan: LivePlan) -> tuple[int, int, int]:
    """What a better plan has less of."""
    late = sum(getattr(row.planned, "late_days", 0) for row in plan.late) + sum(map(len, plan.left.values()))
    return (late, plan.cost.days_out, plan.cost.visits)


def _sites_words(sites: Sequence[Site]) -> str:
    names = [site.name for site in sites]
    return ", ".join(names) if len(names) < _MANY else f"{len(names)} sites"


def _counted(number: int, what: str) -> str:
    return f"1 {what}" if number == 1 else f"{number} {what}s"
