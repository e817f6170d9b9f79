"""Making and keeping plans: terms, sites, crews, a longer search, plans kept under a name; in threads where it takes long."""

from datetime import date
from functools import partial
from typing import Final, TypeVar

from msgspec.structs import replace

from appreg.clock import Instant
from appreg.core.values.counted_words import counted
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.uids import Uid
from appreg.progress import Progress
from appreg.schedule.crew_planning import usual_effort
from appreg.tasks.planning.keep_plan import kept_plans, load_plan, plan_anew, remove_plan, rename_plan, terms_text
from appreg.tasks.planning.live_plan import LivePlan, gather_ground, live_estate, live_plan, planned_days
from appreg.tasks.planning.plan_visits import PlanWishes, plan_visits, trips_wished
from appreg.ui.screens.asking.choose_screen import ChooseScreen
from appreg.ui.screens.asking.pick_screen import Answer, PickScreen
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.long_work.long_work_screen import Done, LongWorkScreen
from appreg.ui.screens.plan.plan_acts import NO_CREW, PlanActs
from appreg.ui.screens.plan.plan_choices import crew_answers, site_answers
from appreg.ui.screens.plan.plan_form import MinutesForm, PlanForm
from appreg.ui.screens.plan.plan_words import PlanProof, lateness, proof_of
from appreg.ui.screens.plan.visit_forms import PlanNameForm
from appreg.ui.shell.commands import Command, at_home

Returned = TypeVar("Returned")
_LONGER: Final = 4
"""How many times longer each further search may take."""
_NEW: Final = "new"
_NOT_READ: Final = "not read again: the plan is shown as it was before; leave it and come back to read it"

PLAN_MAKING: Final = at_home(
    "plan",
    (
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
    ),
)


class _Made:
    """A plan with its proof, as the thread made it."""

    def __init__(self, plan: LivePlan, proven: PlanProof | None) -> None:
        self.plan, self.proven = plan, proven


class PlanMaking(PlanActs[Returned]):
    """A screen that makes the plan it shows, and keeps it."""

    proofs: dict[tuple[str, str], PlanProof]
    """How good the plans made here are, by plan and terms."""

    @property
    def wishes(self) -> PlanWishes:
        """What the plan keeps to."""
        if self.live is not None:
            return self.live.ground.wishes
        return PlanWishes(start=self.shell.today)

    def follow(self, plan: LivePlan, said: str = "") -> None:
        """Read the items, bookings and rows of the plan again; stopped, it is not asked for anew until more is saved."""
        shell, kept, wishes = self.shell, plan.kept.uid if plan.kept else None, plan.ground.wishes
        days = planned_days(plan)
        self.seen = self.now()

        def work(progress: Progress) -> _Made:
            with shell.register.reopen() as register:
                loaded = load_plan(register, kept) if kept else None
                asked = loaded.wishes if loaded else wishes
                ground = gather_ground(register, asked, today=shell.today, progress=progress)
                return _Made(live_plan(register, ground, kept=loaded, days=days), None)

        def followed(done: Done[_Made] | None) -> None:
            if done is not None:
                self.take(done.value.plan, at=self.table.cursor_key, said=said)
            else:
                self.take(plan, at=self.table.cursor_key, said="; ".join(filter(None, (said, _NOT_READ))))

        self.app.push_screen(LongWorkScreen("Reading what holds now", work), followed)

    def open_kept(self, kept: Uid) -> None:
        """Go on with a plan that is kept."""
        shell, now = self.shell, self.now()

        def work(progress: Progress) -> _Made:
            with shell.register.reopen() as register:
                loaded = load_plan(register, kept)
                ground = gather_ground(register, loaded.wishes, today=shell.today, progress=progress)
                return _Made(live_plan(register, ground, kept=loaded), None)

        def opened(done: Done[_Made] | None) -> None:
            if done is not None:
                self.seen = now
                self.take(done.value.plan)

        self.app.push_screen(LongWorkScreen("Opening the plan", work), opened)

    def make_plan(self, wishes: PlanWishes, *, said: str = "", better_only: bool = False) -> None:
        """Make a plan to these wishes; one that is kept gets it as one act, which can be undone."""
        shell, before, now = self.shell, self.live, self.now()

        def work(progress: Progress) -> _Made:
            with shell.register.reopen() as register:
                estate = plan_visits(register, trips=trips_wished(register, wishes), wishes=wishes, progress=progress)
                return _Made(live_estate(register, estate, wishes, today=shell.today), proof_of(estate))

        def planned(done: Done[_Made] | None) -> None:
            if done is not None:
                self._planned(done.value, before, said, now, better_only=better_only)

        self.app.push_screen(LongWorkScreen("Planning the visits; esc takes the best plan until then", work), planned)

    def _planned(
        self, made: _Made, before: LivePlan | None, said: str, now: tuple[Instant | None, date], *, better_only: bool
    ) -> None:
        plan = made.plan
        if better_only and before is not None and worth(plan) >= worth(before):
            self.take(before, said="nothing better was found: the plan stays as it is")
            return
        self.seen = now
        if before is not None and said and not self.shell.register.read_only:
            plan = self.attempt(partial(self._keep_made, plan, before, said)) or plan
        if made.proven is not None:
            self.proofs[name_of(plan)] = made.proven
        self.take(plan, said=said)

    def _keep_made(self, plan: LivePlan, before: LivePlan, said: str) -> LivePlan:
        """A plan made to terms of somebody's own is kept, or takes the place of the one before as one act."""
        register, who, wishes, visits = self.shell.register, self.shell.who, plan.ground.wishes, planned_days(plan)
        if before.kept is None:
            self.live = plan
            return self.keep_if_new()
        with self.saving():
            plan_anew(register, who, before.kept.uid, wishes=wishes, visits=visits, said=said)
        return self.read_again(plan, before.kept.uid)

    def went_back(self, plan: LivePlan, kept: Uid, said: str) -> None:
        """After a step back or forth the terms may be others, and the items with them."""
        if load_plan(self.shell.register, kept).wishes != plan.ground.wishes:
            self.follow(plan, said)
        else:
            super().went_back(plan, kept, said)

    def action_set_wishes(self) -> None:
        """Ask what the plan keeps to, then plan anew."""

        def kept(wishes: PlanWishes | None) -> None:
            if wishes is not None:
                self.make_plan(replace(wishes, effort=None), said="planned anew to other terms")

        self.app.push_screen(FormScreen(PlanForm(self.desk, self.wishes)), kept)

    def action_set_minutes(self) -> None:
        """Ask how many minutes a day holds, then plan anew."""

        def kept(minutes: int | None) -> None:
            if minutes is not None:
                self.make_plan(
                    replace(self.wishes, capacity_minutes=minutes), said=f"planned anew with {minutes} min a day"
                )

        self.app.push_screen(FormScreen(MinutesForm(self.desk, self.wishes.capacity_minutes)), kept)

    def action_pick_site(self) -> None:
        """Ask which sites are planned, then plan anew."""
        answers = site_answers(self.shell.register, self.shell.today)

        def chosen(sites: tuple[str, ...] | None) -> None:
            if sites is not None:
                keys = tuple(Uid(each) for each in sites)
                self.make_plan(replace(self.wishes, sites=keys), said=f"planned anew for {counted(len(keys), 'site')}")

        question = "Plan which sites? The worst come first"
        self.app.push_screen(ChooseScreen(question, answers, now=self.wishes.sites), chosen)

    def action_pick_crews(self) -> None:
        """Ask who goes out, then plan anew."""
        answers = crew_answers(self.shell.register)
        if not answers:
            self.shell.say(NO_CREW)
            return

        def chosen(crews: tuple[str, ...] | None) -> None:
            if crews is not None:
                keys = tuple(Uid(each) for each in crews) or tuple(Uid(each.key) for each in answers)
                self.make_plan(replace(self.wishes, crews=keys), said=f"planned anew over {counted(len(keys), 'crew')}")

        self.app.push_screen(ChooseScreen("Which crews go out?", answers, now=self.wishes.crews), chosen)

    def action_search_on(self) -> None:
        """Search longer; the better of both plans stays."""
        plan = self.live
        if plan is None or not plan.ground.has_hours:
            self.shell.say("Without hours the search ends by itself; name crews or minutes a day first.")
            return
        items = sum(len(trip.items) for trip in plan.ground.trips.values())
        effort = _LONGER * (plan.ground.wishes.effort or usual_effort(items))
        self.make_plan(
            replace(plan.ground.wishes, effort=effort), said="planned anew with a longer search", better_only=True
        )

    def action_open_plan(self) -> None:
        """Ask which plan to go on with."""
        kept = kept_plans(self.shell.register)
        answers = [Answer(_NEW, "+ a new plan")]
        answers += [
            Answer(each.uid, f"{each.name} · {each.whose} · {date_words(each.made_on)} · {counted(each.step, 'act')}")
            for each in kept
        ]

        def picked(key: str | None) -> None:
            if key == _NEW:
                self.live = None
                self.make_plan(PlanWishes(start=self.shell.today))
            elif key is not None:
                self.open_kept(Uid(key))

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
            with self.saving():
                rename_plan(register, self.shell.who, plan.kept.uid, name=name)
            self.take(self.read_again(plan, plan.kept.uid), said=f"kept as {name}")

    def action_remove_plan(self) -> None:
        """Take the kept plan out."""
        plan = self.live
        if plan is None or plan.kept is None:
            self.shell.say("This plan is not kept, so there is nothing to remove.")
            return
        kept = plan.kept
        if self.attempt(lambda: remove_plan(self.shell.register, self.shell.who, kept.uid)) is None:
            return
        self.shell.say(f"The plan {kept.name} is removed; booked visits stay.")
        self.live = None
        self.make_plan(PlanWishes(start=self.shell.today))


def name_of(plan: LivePlan) -> tuple[str, str]:
    """A plan and its terms, which a proof is about."""
    return plan.kept.uid if plan.kept else "", terms_text(plan.ground.wishes)


def worth(plan: LivePlan) -> tuple[int, int, int, int]:
    """What a better plan has less of: first what is never done, then days late, whatever the days out."""
    late = lateness(plan).values()
    undone, days = (sum(each[part] for each in late) for part in (0, 1))
    return undone, days, plan.cost.days_out, plan.cost.visits
