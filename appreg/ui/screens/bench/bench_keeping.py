"""From the outcome to the register: what is asked before an inspection is kept, and what is kept beside its readings."""

from collections.abc import Awaitable, Callable
from datetime import date
from typing import TYPE_CHECKING, Final

from appreg.core.records.kept_records import Visit
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.uids import Uid
from appreg.tasks.inspecting.ask_for_what_was_begun import with_what_was_begun
from appreg.tasks.inspecting.choose_visit import go_on_with_visit
from appreg.tasks.inspecting.finish_bench import KEPT
from appreg.tasks.inspecting.open_bench import Recorded
from appreg.tasks.inspecting.record_inspection import SavedInspection
from appreg.ui.screens.asking.pick_screen import Answer, PickScreen
from appreg.ui.screens.bench.bench_record import keep_bench, unsaveable
from appreg.ui.screens.bench.remark_screen import RemarkScreen
from appreg.ui.shell.key_words import key_of

if TYPE_CHECKING:
    from appreg.ui.screens.bench.bench_screen import BenchScreen

MISTYPED: Final = "mistyped"
"""How an answer begins that calls the earlier record a slip."""


class BenchKeeping:
    """Keeps the item at hand as an inspection, once all is said that must be said with it."""

    def __init__(self, bench: "BenchScreen") -> None:
        """Serve one Bench."""
        self._bench = bench
        self._day: date | None = None
        """The day that was last taken for granted here."""

    def begin_day(self) -> None:
        """Take the day for granted on which work begins."""
        self._day = self._day or self._bench.shell.today

    @property
    def _visit_is_of_another_day(self) -> bool:
        """The visit was of the day when work began, and that day is over; one of an earlier day was chosen knowingly."""
        shell, visit = self._bench.shell, self._bench.state.visit
        return self._day != shell.today and shell.register.get(Visit, visit).date == self._day

    def say_day_turned(self) -> None:
        """Say what the turn of the day means for the visit."""
        if self._visit_is_of_another_day:
            self._bench.shell.warn(
                "This visit is of the day before: you are asked which it shall be before the next item is kept."
            )

    def _ask_which_visit(self) -> None:
        shell = self._bench.shell
        today, visit = shell.today, shell.register.get(Visit, self._bench.state.visit)
        answers = (
            Answer("new", f"Go on in a visit of {date_words(today)}, by the same person with the same instrument."),
            Answer("stay", f"Stay in the visit of {date_words(visit.date)}: this is still that day's work."),
        )
        shell.push_screen(
            PickScreen("The day has turned: which visit does this item belong to?", answers), self._take_visit
        )

    def _take_visit(self, answer: str | None) -> None:
        bench = self._bench
        if answer is None:
            bench.shell.warn("Not kept yet: say first which visit it belongs to.")
            return
        today = bench.shell.today
        if answer == "new":
            bench.drafts.keep()
            register, who, visit = bench.shell.register, bench.shell.who, bench.state.visit
            following = bench.attempt(lambda: go_on_with_visit(register, who, visit=visit, on=today))
            if following is None:
                return
            bench.state.visit = following.uid
        self._day = today
        bench.call_next(self._go_on)

    async def _go_on(self) -> None:
        if await self._bench.walk.read():
            await self.save()

    async def save(self) -> None:
        """Keep the inspection as it stands, once what must be said with it is said."""
        bench, state = self._bench, self._bench.state
        if state.item is None or state.judged is None:
            return
        item = state.item.appliance
        if state.entries.is_untouched:
            later = key_of("bench.skip(1)", "page down")
            bench.shell.warn(
                f"Nothing is looked at or measured on {item.tag} yet, so nothing is kept; {later} leaves it."
            )
            return
        if state.is_as_kept:
            await bench.walk.go_past(item.uid, f"{item.tag} stays as it was kept")
            return
        lost = unsaveable(state.judged)
        if lost is not None:
            bench.shell.warn(lost[1])
            bench.board.go_to(lost[0])
            return
        if self._visit_is_of_another_day:
            self._ask_which_visit()
            return
        if (earlier := state.to_tell_apart) is not None:
            await self._ask_again(earlier)
        elif state.needs_put_right:
            last = state.actions[-1]
            failure = f"It failed on {date_words(last.opened_on)}, {last.what}."
            await self._ask_line("put right", f"{failure} What was put right since?", self._keep_retest)
        else:
            await self.keep()

    async def _ask_again(self, earlier: Recorded) -> None:
        """Tell a retest from a slip: a further inspection unless the person says it was mistyped."""
        needs = self._bench.state.needs_put_right
        retest = "what was put right since?" if needs else "a further inspection: enter, or a remark."
        if self._bench.state.carried:
            retest = f"a further inspection takes these anew first: {self._bench.state.carried}."
        question = f"It came to {earlier.outcome} on this visit; {retest} To correct a slip, type “{MISTYPED}” and why."

        async def answered(said: str) -> None:
            if said.casefold().startswith(MISTYPED):
                await self._correct(earlier.uid, said)
            elif carried := self._bench.state.carried:
                anew = key_of("bench.anew", "^n")
                self._bench.shell.warn(f"Not kept: {carried} as kept before; take them anew, {anew} empties all.")
            elif self._bench.state.needs_put_right:
                await self.keep(put_right=said)
            else:
                await self.keep(remarks=said)

        await self._ask_line("once more", question, answered)

    async def _correct(self, earlier: Uid, reason: str) -> None:
        """Keep a correction; where the record it replaces had more, and that changes the outcome, show it first."""
        bench, state = self._bench, self._bench.state
        if state.item is None or state.judged is None:
            return
        register, entries, outcome = bench.shell.register, state.judged.entries, state.judged.outcome
        saved = [past.inspection for past in state.item.history]
        asked = bench.attempt(lambda: with_what_was_begun(register, entries, saved, earlier))
        if asked is None:
            return
        if asked.begun != entries.begun:
            await bench.rebuild(state.entries.correcting(asked.begun))
            if state.judged.outcome is not outcome:
                bench.board.land()
                bench.shell.warn(
                    "Not kept yet: the record it corrects had more, and the correction is asked for that too. "
                    "Take it again, or keep the correction as it now stands."
                )
                return
        await self.keep(supersedes=earlier, reason=reason)

    async def _keep_retest(self, done: str) -> None:
        await self.keep(put_right=done)

    async def _ask_line(self, about: str, question: str, keep: Callable[[str], Awaitable[None]]) -> None:
        screen = RemarkScreen(about=about, question=question)

        def answered(said: str | None) -> None:
            if said is not None:
                self._bench.call_next(keep, said)

        await self._bench.app.push_screen(screen, answered)
        screen.take_keys()

    async def keep(
        self, *, supersedes: Uid | None = None, reason: str = "", put_right: str = "", remarks: str = ""
    ) -> None:
        """Keep what stands here, as a correction where it replaces an earlier inspection of this visit; open the next."""
        bench, state = self._bench, self._bench.state
        if state.item is None:
            return
        register, who = bench.shell.register, bench.shell.who
        saved = None

        def kept() -> SavedInspection:
            with bench.drafts.kept_with(KEPT):
                return keep_bench(
                    register, who, state, supersedes=supersedes, reason=reason, put_right=put_right, remarks=remarks
                )

        try:
            saved = bench.attempt(kept)
        finally:
            if saved is None:
                bench.drafts.keep()
        if saved is None:
            # What was refused may rest on what another desk did: show the item as it now is, with what is typed here.
            await bench.walk.read_news()
            await bench.walk.read_again()
            return
        bench.walk.take_kept(saved.appliance.uid)
        if saved.caution:
            bench.shell.warn(saved.caution)
        await bench.walk.go_to_next(saved)
