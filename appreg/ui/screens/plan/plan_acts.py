"""Acts upon a plan by keys: move, swap, split, merge, book, hand to a crew, undo and do again; each is kept at once."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from functools import partial
from typing import ClassVar, Final, TypeVar

from appreg.clock import Instant
from appreg.core.records.kept_records import Location
from appreg.core.records.planning_records import Crew
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.uids import Uid
from appreg.errors import AppregError, InputRefused
from appreg.register.opening.register_file import Register
from appreg.tasks.planning.book_in_plan import Booking, book_in_plan, cancel_in_plan, change_in_plan
from appreg.tasks.planning.change_plan import (
    merge_kept_visits,
    move_kept_visit,
    redo_plan_step,
    split_kept_visit,
    swap_kept_visits,
    undo_plan_step,
)
from appreg.tasks.planning.keep_plan import keep_plan, kept_plans, load_plan, work_key
from appreg.tasks.planning.live_moves import day_steps_away, day_weeks_away
from appreg.tasks.planning.live_plan import LivePlan, LiveVisit, live_plan, planned_days
from appreg.ui.lists.list_screen import ListScreen
from appreg.ui.screens.asking.pick_screen import Answer, PickScreen
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.plan.plan_words import act_words, beside_words
from appreg.ui.screens.plan.planned_visit_screen import PlannedVisitScreen
from appreg.ui.screens.plan.visit_forms import BookingForm, OtherDayForm
from appreg.ui.shell.commands import Command, at_home
from appreg.ui.shell.key_words import key_of as named_key

Returned = TypeVar("Returned")

NO_PLAN: Final = f"There is no plan yet: {named_key('plan.set_wishes', 'p')} plans."
NO_CREW: Final = f"No crew is known yet: add one under {named_key('app.palette', 'ctrl+p')}, crews."

PLAN_ACTS: Final = at_home(
    "plan",
    (
        Command(
            action="move_visit(-1)",
            key="left",
            label="move",
            help="Move the visit to the allowed day before; its work goes with it, and it merges with no other.",
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
        Command(
            action="move_to",
            key="d",
            label="to a day",
            help="Say to which day the visit moves.",
            in_footer=False,
            at_cursor=True,
        ),
        Command(
            action="book",
            key="b",
            label="book",
            help="Note that the visit is agreed with the site, with whom, and whether it is confirmed; later plans keep it.",
            at_cursor=True,
        ),
        Command(
            action="swap",
            key="x",
            label="swap",
            help="Exchange the days and crews of two visits, chosen with space.",
            in_footer=False,
        ),
        Command(
            action="merge",
            key="J",
            label="merge",
            help="Do the work of another visit to the site, chosen with space, on the day of the one under the cursor.",
            in_footer=False,
            at_cursor=True,
        ),
        Command(
            action="split_visit",
            key="t",
            label="split",
            help="Open the visit, choose some of its items, and do them on another day.",
            in_footer=False,
            at_cursor=True,
        ),
        Command(
            action="hand_over",
            key="c",
            label="crew",
            help="Have another crew make the visit under the cursor.",
            in_footer=False,
            at_cursor=True,
        ),
        Command(action="undo_step", key="u", label="undo", help="Undo the last act upon the plan, one at a time."),
        Command(action="redo_step", key="r", label="redo", help="Do again what was undone last.", in_footer=False),
    ),
)


class PlanActs(ListScreen[Returned]):
    """A screen that shows a plan and acts upon it; a subclass says which one and shows what came of it."""

    DECLARED: ClassVar[tuple[Command, ...]] = ()

    live: LivePlan | None = None
    """The plan that is shown."""

    @property
    def desk(self) -> Desk:
        """What forms work with."""
        return Desk(self.shell.register, self.shell.who, self.shell.present_day)

    def take(self, plan: LivePlan, *, at: str | None = None, said: str = "") -> None:
        """Go on with the plan as it stands now."""

    def at_cursor(self) -> LiveVisit | None:
        """The visit under the cursor."""
        return self.live.visit(self.table.cursor_key or "") if self.live is not None else None

    def keep_if_new(self, name: str = "") -> LivePlan:
        """The plan as one that is kept; raises what the register refuses."""
        plan = self.live
        if plan is None:
            raise InputRefused(NO_PLAN)
        if plan.kept is not None:
            return plan
        register, today = self.shell.register, self.shell.today
        with self.saving():
            kept = keep_plan(
                register,
                self.shell.who,
                name=name or _free_name(f"Plan of {date_words(today)}", {each.name for each in kept_plans(register)}),
                on=today,
                wishes=plan.ground.wishes,
                visits=planned_days(plan),
            )
        return self.read_again(plan, kept.uid)

    def read_again(self, plan: LivePlan, kept: Uid) -> LivePlan:
        """The plan as its rows stand now, through the same items."""
        register = self.shell.register
        return live_plan(register, plan.ground, kept=load_plan(register, kept), before=plan)

    seen: tuple[Instant | None, date] | None = None
    """What the items of the plan were read after, as now() gives it."""

    def now(self) -> tuple[Instant | None, date]:
        """The time of the last line of the journal, and the day."""
        return self.shell.register.last_instant(), self.shell.today

    @contextmanager
    def saving(self) -> Iterator[None]:
        """What is saved within leaves the items as they were read; what others saved before is to be read all the same."""
        is_current = self.now() == self.seen
        try:
            yield
        finally:
            if is_current:
                self.seen = self.now()

    def act(self, visits: tuple[LiveVisit, ...], work: Callable[[Uid, tuple[Uid, ...]], object]) -> None:
        """Keep the plan where it is not, act upon it, and show it; `work` gets the keys of plan and visits."""
        before = self.keep_if_new()
        if before.kept is None:
            return
        self.live = before
        keys = tuple(self._key(before, visit) for visit in visits)
        try:
            with self.saving():
                work(before.kept.uid, keys)
        except AppregError:
            self.take(before, at=keys[0])  # kept or not, its visits have the keys of a kept plan now
            raise
        after = self.read_again(before, before.kept.uid)
        said = act_words(after.kept.said if after.kept else "", before, after)
        moved = after.visit(keys[0]) if keys else None
        if moved is not None:
            said += beside_words(after, moved)
        self.take(after, at=keys[0] if keys else None, said=said)

    def _key(self, plan: LivePlan, visit: LiveVisit) -> Uid:
        if plan.visit(visit.key) is not None:
            return Uid(visit.key)
        return Uid(plan.key_at(visit.site.uid, visit.day, visit.crew.uid if visit.crew else None))

    def _free(self, *, booked_too: bool = False) -> LiveVisit | None:
        """The visit under the cursor where it can be moved; says why where not."""
        visit = self.at_cursor()
        book = named_key("plan.book", "b")
        if visit is None:
            self.say_no_row()
        elif not visit.is_kept and not booked_too:
            self.shell.say(f"That visit is booked and not one of the plan's own: {book} changes the booking.")
        elif visit.booked is not None and not booked_too:
            self.shell.say(
                f"{visit.site.name} is booked for {date_words(visit.day)}: {book} moves or cancels the booking."
            )
        else:
            return visit
        return None

    def action_move_visit(self, steps: int) -> None:
        """Move the visit under the cursor by allowed days."""
        self._move(lambda plan, visit: day_steps_away(plan, visit, steps))

    def action_move_week(self, weeks: int) -> None:
        """Move the visit under the cursor by a week, to an allowed day."""
        self._move(lambda plan, visit: day_weeks_away(plan, visit, weeks))

    def _move(self, target: Callable[[LivePlan, LiveVisit], date]) -> None:
        plan, visit = self.live, self._free()
        if plan is not None and visit is not None:
            self.attempt(lambda: self._move_to(visit, target(plan, visit)))

    def _move_to(self, visit: LiveVisit, day: date) -> None:
        register, who = self.shell.register, self.shell.who
        self.act((visit,), lambda _, keys: move_kept_visit(register, who, keys[0], day=day))

    def action_move_to(self) -> None:
        """Ask to which day the visit moves."""
        visit = self._free()
        if visit is not None:
            form = OtherDayForm(self.desk, f"Move · {visit.site.name}", visit.day, partial(self._move_to, visit))
            self.app.push_screen(FormScreen(form))

    def _two(self) -> tuple[LiveVisit, LiveVisit] | None:
        """The visit under the cursor, or the first chosen, and the other one chosen."""
        plan = self.live
        chosen = [visit for key in self.table.choice.keys if plan and (visit := plan.visit(key))]
        here = self.at_cursor()
        if len(chosen) == 1 and here is not None and here not in chosen:
            chosen.insert(0, here)
        if len(chosen) == 2 and here in chosen:  # noqa: PLR2004 - two of them
            chosen.sort(key=lambda each: each != here)
        if len(chosen) != 2:  # noqa: PLR2004
            self.shell.say("That takes two visits: choose one with space and go to the other.")
            return None
        tied = next((each for each in chosen if each.booked is not None or not each.is_kept), None)
        if tied is not None:
            self.shell.say(f"{tied.site.name} is booked for {date_words(tied.day)}, and stays there.")
            return None
        return chosen[0], chosen[1]

    def action_swap(self) -> None:
        """Exchange two visits."""
        self._act_on_two(swap_kept_visits)

    def action_merge(self) -> None:
        """Make one of two visits."""
        self._act_on_two(merge_kept_visits)

    def _act_on_two(self, work: Callable[[Register, str, Uid, Uid], object]) -> None:
        two = self._two()
        if two is not None:
            register, who = self.shell.register, self.shell.who
            self.attempt(lambda: self.act(two, lambda _, keys: work(register, who, *keys)))
            self.table.clear_choice()

    def action_split_visit(self) -> None:
        """Open the visit, to choose what is done on another day."""
        self.open_visit()

    def open_visit(self) -> None:
        """Show what is done on the visit under the cursor."""
        plan, visit = self.live, self.at_cursor()
        if visit is None or plan is None:
            self.say_no_row()
            return
        register = self.shell.register
        names = {each.uid: each.name for each in register.find(Location, site=visit.site.uid)}

        def chosen(items: tuple[Uid, ...] | None) -> None:
            if items and self._free() is not None:
                title = f"Split · {len(items)} of {len(visit.inspections)} items on another day"
                form = OtherDayForm(self.desk, title, visit.day, partial(self._split, visit, items))
                self.app.push_screen(FormScreen(form))

        self.app.push_screen(PlannedVisitScreen(plan, visit, lambda uid: names.get(uid, "")), chosen)

    def _split(self, visit: LiveVisit, items: tuple[Uid, ...], day: date) -> None:
        register, who = self.shell.register, self.shell.who
        every = tuple(work_key(each.key, each.kind) for each in visit.inspections)
        taken = tuple(work_key(each.key, each.kind) for each in visit.inspections if each.key in items)
        self.act(
            (visit,), lambda _, keys: split_kept_visit(register, who, keys[0], day=day, items=taken, all_items=every)
        )

    def action_hand_over(self) -> None:
        """Ask which crew makes the visit."""
        visit = self._free()
        if visit is None:
            return
        register, who = self.shell.register, self.shell.who
        crews = sorted(register.find(Crew), key=lambda each: each.name.casefold())
        if not crews:
            self.shell.say(NO_CREW)
            return

        def picked(key: str | None) -> None:
            if key is not None:
                self.attempt(
                    lambda: self.act(
                        (visit,),
                        lambda _, keys: move_kept_visit(register, who, keys[0], day=visit.day, crew=Uid(key)),
                    )
                )

        answers = [Answer(each.uid, each.name) for each in crews]
        now = visit.crew.uid if visit.crew else None
        self.app.push_screen(PickScreen("Which crew makes the visit?", answers, now=now), picked)

    def action_book(self) -> None:
        """Ask what is agreed for the visit under the cursor."""
        visit = self._free(booked_too=True)
        if visit is not None:
            self.app.push_screen(FormScreen(BookingForm(self.desk, visit, partial(self._book, visit))))

    def _book(self, visit: LiveVisit, wanted: Booking | None) -> None:
        register, who, booked = self.shell.register, self.shell.who, visit.booked

        def work(plan: Uid, keys: tuple[Uid, ...]) -> None:
            own = keys[0] if visit.is_kept else None
            if booked is None and wanted is not None:
                book_in_plan(register, who, plan, site=visit.site.uid, wanted=wanted, visit=own)
            elif booked is not None and wanted is not None:
                change_in_plan(register, who, plan, booked=booked, wanted=wanted, visit=own)
            elif booked is not None:
                cancel_in_plan(register, who, plan, booked)

        self.act((visit,), work)

    def action_undo_step(self) -> None:
        """Undo the last act."""
        self._step("undone", undo_plan_step)

    def action_redo_step(self) -> None:
        """Do again what was undone last."""
        self._step("done again", redo_plan_step)

    def _step(self, did: str, step: Callable[..., str]) -> None:
        plan = self.live
        if plan is None or plan.kept is None:
            self.shell.say("Nothing has been done to this plan yet.")
            return
        kept = plan.kept.uid
        with self.saving():
            said = self.attempt(lambda: step(self.shell.register, self.shell.who, kept))
        if said is not None:
            self.went_back(plan, kept, f"{did}: {said}")

    def went_back(self, plan: LivePlan, kept: Uid, said: str) -> None:
        """Show the plan after a step back or forth; its terms may be others now."""
        after = self.read_again(plan, kept)
        self.take(after, at=self.table.cursor_key, said=act_words(said, plan, after))


def _free_name(name: str, taken: set[str]) -> str:
    names = {each.casefold() for each in taken}
    number = 1
    free = name
    while free.casefold() in names:
        number += 1
        free = f"{name} ({number})"
    return free
