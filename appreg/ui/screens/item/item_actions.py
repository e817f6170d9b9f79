"""What can be done with items from any list: bench, label, withdraw, missing, back in service."""

from collections.abc import Callable, Sequence
from typing import Final, TypeVar

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance, Category, Location, Site, Visit
from appreg.core.records.work_records import Movement
from appreg.core.values.counted_words import counted
from appreg.core.values.uids import Uid
from appreg.progress import Progress
from appreg.register.history.journal import End, journal_end
from appreg.register.opening.register_file import Register
from appreg.tasks.inspecting.choose_visit import visit_of_day
from appreg.tasks.items.note_fault import note_fault
from appreg.tasks.items.record_movement import record_movements
from appreg.tasks.items.weigh_issue import ages_in_words, ages_of_tests, past_limit_words
from appreg.tasks.records.change_record import move_items, set_category
from appreg.tasks.records.merge_changes import ChangedMeanwhile
from appreg.tasks.records.set_service_state import set_many_states
from appreg.tasks.records.undo_step import DoneStep, undo_step
from appreg.tasks.standing.queue_labels import queue_labels
from appreg.ui.screens.asking.pick_screen import Answer, PickScreen
from appreg.ui.screens.forms.appliance_form import ApplianceForm
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_fields import FormField, TypedForm
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.forms.visit_form import VisitForm
from appreg.ui.screens.item.interval_form import IntervalForm
from appreg.ui.screens.long_work.long_work_screen import Done, LongWorkScreen
from appreg.ui.shell.command_screen import CommandScreen
from appreg.ui.shell.commands import Command, at_home
from appreg.ui.shell.key_words import key_of

_DONE_WORDS = {"Move": "moved", "Set the category of": "given a category"}
_VERBS = {
    ServiceState.WITHDRAWN: "Withdraw",
    ServiceState.MISSING: "Mark missing",
    ServiceState.DISPOSED: "Mark disposed of",
    ServiceState.IN_SERVICE: "Return to service",
}
_CAUTIONS = {
    ServiceState.WITHDRAWN: "A withdrawn item must not be used: keep it apart, or make sure nobody can plug it in.",
    ServiceState.DISPOSED: "Cut the cord off, so that nobody takes the item back into use.",
    ServiceState.IN_SERVICE: "Where a fault was found in use, have it mended, inspected and tested first.",
}


class StateForm(Form[tuple[Appliance, ...]]):
    """Asks for the reason, then sets the state of some items."""

    def __init__(self, desk: Desk, items: Sequence[Uid], state: ServiceState) -> None:
        super().__init__(desk)
        self._items = items
        self._state = state
        self._since = journal_end(desk.register)
        what = "one item" if len(items) == 1 else f"{len(items)} items"
        if len(items) == 1:
            item = desk.register.get(Appliance, items[0])
            what = f"{item.tag} {item.name}"
        self.title = f"{_VERBS[state]} · {what}"

    def fields(self) -> Sequence[FormField]:
        """The reason; it joins the notes of each item."""
        return (FormField(name="reason", label="Reason"),)

    def keep(self, typed: TypedForm) -> tuple[Appliance, ...]:
        """Set the state of all of them, or of none."""
        try:
            return set_many_states(
                self.desk.register,
                self.desk.who,
                appliances=self._items,
                state=self._state,
                reason=typed.text("reason"),
                since=self._since,
            )
        except ChangedMeanwhile:
            self._since = journal_end(self.desk.register)
            raise

    def cautions(self, _typed: TypedForm) -> Sequence[str]:
        """What to do with the item itself."""
        return tuple(caution for state, caution in _CAUTIONS.items() if state is self._state)


class FaultForm(Form[tuple[Appliance, ...]]):
    """Asks what is wrong and who found it, then takes the items out of service."""

    def __init__(self, desk: Desk, items: Sequence[Uid]) -> None:
        super().__init__(desk)
        self._items = items
        item = desk.register.get(Appliance, items[0])
        self.title = f"Fault found · {item.tag} {item.name}" if len(items) == 1 else f"Fault found · {len(items)} items"

    def fields(self) -> Sequence[FormField]:
        """The fault, and who found it."""
        return (
            FormField(name="what", label="What is wrong", required=True),
            FormField(name="found_by", label="Found by"),
        )

    def keep(self, typed: TypedForm) -> tuple[Appliance, ...]:
        """Note it of all of them, or of none."""
        with self.desk.register.change(self.desk.who, "fault found in use"):
            return tuple(
                note_fault(
                    self.desk.register,
                    self.desk.who,
                    appliance=item,
                    what=typed.text("what"),
                    found_by=typed.text("found_by"),
                    on=self.desk.today,
                )
                for item in self._items
            )

    def cautions(self, _typed: TypedForm) -> Sequence[str]:
        """What to do with the item itself."""
        return (_CAUTIONS[ServiceState.WITHDRAWN],)


Returned = TypeVar("Returned")

Changer = Callable[[Sequence[Uid], str, End], Callable[[Register, Progress], int]]
"""From the items, the answer and the journal's end when it was asked for to the change, which runs in a thread."""

ITEM_COMMANDS: Final = at_home(
    "item",
    (
        Command(action="to_bench", key="b", label="bench", help="Inspect the item now, on today's visit to its site."),
        Command(action="queue_label", key="l", label="label", help="Put a label for the latest result into the tray."),
        Command(
            action="withdraw", key="w", label="withdraw", help="Take the chosen items out of service, with a reason."
        ),
        Command(
            action="report_fault",
            key="x",
            label="fault found",
            help="Note what somebody who uses the item found wrong: it goes out of service at once.",
            in_footer=False,
        ),
        Command(action="missing", key="m", label="missing", help="Note that the chosen items could not be found."),
        Command(
            action="edit_item",
            key="e",
            label="change",
            help="Change what is kept of the item, the first of the chosen ones.",
        ),
        Command(
            action="return_to_service",
            key="r",
            label="back in service",
            help="Put the chosen items back into service; refused while a failure stands.",
            in_footer=False,
        ),
        Command(
            action="move_items",
            key="g",
            label="move",
            help="Move the chosen items to another location, here or at another site.",
            in_footer=False,
        ),
        Command(
            action="set_category",
            key="k",
            label="category",
            help="Set the category of the chosen items.",
            in_footer=False,
        ),
        Command(
            action="set_interval",
            key="i",
            label="interval",
            help="Set another interval by hand for the chosen items, their category or location, or take it back.",
            in_footer=False,
        ),
        Command(
            action="record_movement",
            key="o",
            label="out or back",
            help="Note that the item is issued, comes back, or is brought on site; what blocks it keeps it here.",
            in_footer=False,
        ),
        Command(
            action="undo_step",
            key="ctrl+z",
            label="undo",
            help="Take back the last thing done to items, for all of them at once; again: the one before.",
            in_footer=False,
        ),
        Command(
            action="scope_of_items",
            key="Q",
            label="scope of work",
            help="Write what is wanted on the chosen items, without prices, for somebody to quote for.",
            in_footer=False,
        ),
        Command(
            action="documents_of_item",
            key="D",
            label="documents",
            help="Any document of the chosen items: notice, result sheet, slip, recording sheet, card.",
            in_footer=False,
        ),
        Command(
            action="dispose",
            key="",
            label="disposed of",
            help="Note that the chosen items are gone for good.",
            in_footer=False,
        ),
    ),
)


class ItemActions(CommandScreen[Returned]):
    """A screen whose items can be acted on; a subclass says which are meant."""

    def items_to_act_on(self) -> tuple[Uid, ...]:
        """The items that are chosen, or the one under the cursor."""
        return ()

    @property
    def desk(self) -> Desk:
        """What forms work with."""
        return Desk(self.shell.register, self.shell.who, self.shell.present_day)

    def action_to_bench(self) -> None:
        """Open the first item on the Bench, on today's visit to its site or a new one."""
        if not (items := self._items_or_say()):
            return
        item = self.shell.register.get(Appliance, items[0])
        if item.state is ServiceState.DISPOSED:
            back = key_of("item.return_to_service", "r")
            self.shell.say(f"{item.tag} is disposed of: nothing of it is inspected. {back} puts it back into service.")
            return
        today = visit_of_day(self.shell.register, item.site, self.shell.today)
        if today is not None:
            self.shell.open_bench(visit=today.uid, appliance=item.uid)
            return
        site = self.shell.register.get(Site, item.site)

        def started(visit: Visit | None) -> None:
            if visit is not None:
                self.shell.open_bench(visit=visit.uid, appliance=item.uid)

        self.app.push_screen(FormScreen(VisitForm(self.desk, site)), started)

    def action_edit_item(self) -> None:
        """Open the form with all fields of the item."""
        if not (items := self._items_or_say()):
            return
        register = self.shell.register
        item = register.get(Appliance, items[0])
        form = ApplianceForm(self.desk, register.get(Site, item.site), item)
        last = register.last_change

        def kept(changed: Appliance | None) -> None:
            if changed is None:
                return
            if changed != item:
                self._note_step((item.uid,), "changed", self._changed_since(last))
            self.acted_on()

        self.app.push_screen(FormScreen(form), kept)

    def action_queue_label(self) -> None:
        """Queue labels and say how many, and why some got none."""
        if not (items := self._items_or_say()):
            return
        last = self.shell.register.last_change
        queued = self.attempt(
            lambda: queue_labels(self.shell.register, self.shell.who, appliances=items, today=self.shell.today)
        )
        if queued is not None:
            self._note_step(items, "put into the label tray", self._changed_since(last))
            left = len(items) - len(queued)
            why = f"; {left} got none: no finished inspection, overdue, or not in service" if left else ""
            self.shell.say(f"{len(queued)} in the label tray{why}.")
            self.load()

    def action_withdraw(self) -> None:
        """Take the items out of service."""
        self._set_state(ServiceState.WITHDRAWN)

    def action_report_fault(self) -> None:
        """Ask what is wrong, and take the items out of service."""
        if not (items := self._items_or_say()):
            return

        last = self.shell.register.last_change

        def noted(changed: tuple[Appliance, ...] | None) -> None:
            if changed is not None:
                self._note_step(items, "found faulty", self._changed_since(last))
                self.acted_on()
                what = "item is" if len(changed) == 1 else "items are"
                self.shell.say(f"Noted; {len(changed)} {what} out of service until mended, inspected and tested.")

        self.app.push_screen(FormScreen(FaultForm(self.desk, items)), noted)

    def action_missing(self) -> None:
        """Note that the items could not be found."""
        self._set_state(ServiceState.MISSING)

    def action_return_to_service(self) -> None:
        """Put the items back into service."""
        self._set_state(ServiceState.IN_SERVICE)

    def action_dispose(self) -> None:
        """Note that the items are gone for good."""
        self._set_state(ServiceState.DISPOSED)

    def action_move_items(self) -> None:
        """Ask where to, then move the items together."""
        sites = {site.uid: site.name for site in self.shell.register.find(Site)}
        places = self.shell.register.find(Location)
        answers = [Answer(place.uid, f"{sites[place.site]} · {place.name}") for place in places]
        self._ask_and_change("Move", "where to?", answers, self._mover)

    def action_set_category(self) -> None:
        """Ask for the category, then set it for the items together."""
        categories = self.shell.register.find(Category)
        answers = [Answer("", "no category"), *(Answer(each.uid, f"{each.name} ({each.code})") for each in categories)]
        self._ask_and_change("Set the category of", "which one?", answers, self._categoriser)

    def action_set_interval(self) -> None:
        """Ask for another interval."""
        if not (items := self._items_or_say()):
            return

        last = self.shell.register.last_change

        def kept(words: str | None) -> None:
            if words is not None:
                self._note_step(items, "given another interval", self._changed_since(last))
                self.acted_on()
                self.shell.say(words)

        self.app.push_screen(FormScreen(IntervalForm(self.desk, items)), kept)

    def action_record_movement(self) -> None:
        """Ask what happened to the items, the age of their tests beside, then note it for all or for none."""
        if not (items := self._items_or_say()):
            return
        shell = self.shell
        ages = self.attempt(
            lambda: ages_of_tests(
                shell.register, appliances=items, on=shell.today, limit_days=shell.settings.issue_limit_days
            )
        )
        if ages is None:
            return

        def picked(key: str | None) -> None:
            if key is None:
                return
            past = past_limit_words(ages) if key == Movement.ISSUED else ""
            if past:
                self._ask_past_limit(items, past)
            else:
                self._record_movement(items, Movement(key))

        answers = [Answer(each.value, each.value) for each in Movement]
        question = f"Out, back, or let anew: what happened today? {ages_in_words(ages)}"
        self.app.push_screen(PickScreen(question, answers), picked)

    def _ask_past_limit(self, items: Sequence[Uid], past: str) -> None:
        """Ask whether what was tested too long ago is issued all the same; leaving the question issues nothing."""
        answers = [Answer("", "no: inspect and test it first"), Answer("issue", "issue it all the same")]

        def picked(key: str | None) -> None:
            if key:
                self._record_movement(items, Movement.ISSUED, past_limit=True)

        self.app.push_screen(PickScreen(f"{past}. Issue it?", answers), picked)

    def _record_movement(self, items: Sequence[Uid], movement: Movement, *, past_limit: bool = False) -> None:
        shell, last = self.shell, self.shell.register.last_change
        moved = self.attempt(
            lambda: record_movements(
                shell.register,
                shell.who,
                appliances=items,
                movement=movement,
                on=shell.today,
                limit_days=shell.settings.issue_limit_days,
                past_limit=past_limit,
            )
        )
        if moved is not None:
            self._note_step(tuple(items), f"{movement}", self._changed_since(last))
            self.acted_on()
            shell.say(f"{counted(len(items), 'item')}: {movement}.")

    def action_scope_of_items(self) -> None:
        """Ask for the form and the file, and write the scope of work."""
        from appreg.ui.screens.scope.scope_work import write_scope_of_items  # noqa: PLC0415 - papers cost the first frame

        if items := self._items_or_say():
            write_scope_of_items(self, items)

    def action_documents_of_item(self) -> None:
        """Ask which document of the item is written, and write it."""
        from appreg.tasks.documents.paper_kinds import Asked, Of  # noqa: PLC0415 - papers cost the first frame
        from appreg.ui.screens.asking.choose_document import choose_document  # noqa: PLC0415

        if items := self._items_or_say():
            choose_document(self, Of.ITEM, Asked(item=items[0], further=tuple(items[1:])))

    def _mover(self, items: Sequence[Uid], key: str, since: End) -> Callable[[Register, Progress], int]:
        who = self.shell.who
        return lambda own, progress: move_items(
            own, who, appliances=items, location=Uid(key), since=since, progress=progress
        )

    def _categoriser(self, items: Sequence[Uid], key: str, since: End) -> Callable[[Register, Progress], int]:
        who, category = self.shell.who, Uid(key) if key else None
        return lambda own, progress: set_category(
            own, who, appliances=items, category=category, since=since, progress=progress
        )

    def _ask_and_change(self, verb: str, question: str, answers: list[Answer], changer: Changer) -> None:
        if not (items := self._items_or_say()):
            return
        count = "one item" if len(items) == 1 else f"{len(items)} items"
        since = journal_end(self.shell.register)
        answers.sort(key=lambda answer: (bool(answer.key), answer.words.casefold()))

        def picked(key: str | None) -> None:
            if key is None:
                return
            change, shell = changer(items, key, since), self.shell

            def work(progress: Progress) -> Uid | None:
                with shell.register.reopen() as own:
                    change(own, progress)
                    return own.last_change

            self.app.push_screen(LongWorkScreen(f"{verb} {count}", work), changed)

        def changed(done: Done[Uid | None] | None) -> None:
            if done is not None:
                self._note_step(items, _DONE_WORDS[verb], done.value)
                self.acted_on()
                self.shell.say(f"{count} changed.")

        self.app.push_screen(PickScreen(f"{verb} {count}: {question}", answers), picked)

    def _set_state(self, state: ServiceState) -> None:
        if not (items := self._items_or_say()):
            return

        last = self.shell.register.last_change

        def settled(changed: tuple[Appliance, ...] | None) -> None:
            if changed is not None:
                self._note_step(items, f"{state}", self._changed_since(last))
                self.acted_on()
                self.shell.say(f"{counted(len(changed), 'item')}: {state}.")

        self.app.push_screen(FormScreen(StateForm(self.desk, items, state)), settled)

    def action_undo_step(self) -> None:
        """Take back the last thing done to items on this machine since the program was opened."""
        shell, steps = self.shell, self.shell.done_steps
        if not steps:
            shell.say("Nothing was done to items since the program was opened, so nothing is left to undo.")
            return
        step = steps[-1]

        def work(progress: Progress) -> int:
            with shell.register.reopen() as own:
                return undo_step(own, shell.who, step, progress=progress)

        def undone(done: Done[int] | None) -> None:
            if done is not None:
                steps.remove(step)
                self.acted_on()
                shell.say(f"Undone: {step.words}.")

        self.app.push_screen(LongWorkScreen(f"Undo: {step.words}", work), undone)

    def _changed_since(self, last: Uid | None) -> Uid | None:
        """The change that was saved after another; None where nothing differed."""
        now = self.shell.register.last_change
        return None if now == last else now

    def _note_step(self, items: tuple[Uid, ...], words: str, change: Uid | None) -> None:
        """Remember what was done, so that it can be undone as one step."""
        if change is not None:
            said = f"{counted(len(items), 'item')} {words}"
            self.shell.done_steps.append(DoneStep(change=change, words=said, items=items))

    def acted_on(self) -> None:
        """Show the new state of things; a subclass may let go of its choice first."""
        self.load()

    def _items_or_say(self) -> tuple[Uid, ...]:
        items = self.items_to_act_on()
        if not items:
            self.shell.say("There is no item here to act on.")
        return items
