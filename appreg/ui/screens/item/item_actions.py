"""What can be done with items from any list: bench, label, withdraw, missing, back in service."""

from typing import Final, TypeVar

from appreg.core.appliances import ServiceState
from appreg.core.records import Appliance, Site, Visit
from appreg.core.uids import Uid
from appreg.tasks.queue_labels import queue_labels
from appreg.ui.command_screen import CommandScreen
from appreg.ui.commands import Command
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.forms.visit_form import VisitForm
from appreg.ui.screens.item.state_form import StateForm

Returned = TypeVar("Returned")

ITEM_COMMANDS: Final = (
    Command(action="to_bench", key="b", label="bench", help="Inspect the item now, on today's visit to its site."),
    Command(action="queue_label", key="l", label="label", help="Put a label for the latest result into the tray."),
    Command(action="withdraw", key="w", label="withdraw", help="Take the chosen items out of service, with a reason."),
    Command(action="missing", key="m", label="missing", help="Note that the chosen items could not be found."),
    Command(
        action="return_to_service",
        key="r",
        label="back in service",
        help="Put the chosen items back into service; refused while a failure stands.",
        in_footer=False,
    ),
    Command(
        action="dispose",
        key="",
        label="disposed of",
        help="Note that the chosen items are gone for good.",
        in_footer=False,
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
        return Desk(self.shell.register, self.shell.who, self.shell.today)

    def action_to_bench(self) -> None:
        """Open the first item on the Bench, on today's visit to its site or a new one."""
        if not (items := self._items_or_say()):
            return
        item = self.shell.register.get(Appliance, items[0])
        visits = self.shell.register.find(Visit, site=item.site, date=self.shell.today)
        if visits:
            self.shell.open_bench(visit=visits[-1].uid, appliance=item.uid)
            return
        site = self.shell.register.get(Site, item.site)

        def started(visit: Visit | None) -> None:
            if visit is not None:
                self.shell.open_bench(visit=visit.uid, appliance=item.uid)

        self.app.push_screen(FormScreen(VisitForm(self.desk, site)), started)

    def action_queue_label(self) -> None:
        """Queue labels and say how many, and why some got none."""
        if not (items := self._items_or_say()):
            return
        queued = self.attempt(lambda: queue_labels(self.shell.register, self.shell.who, appliances=items))
        if queued is not None:
            left = len(items) - len(queued)
            why = f"; {left} without a finished inspection got none" if left else ""
            self.shell.say(f"{len(queued)} in the label tray{why}.")
            self.load()

    def action_withdraw(self) -> None:
        """Take the items out of service."""
        self._set_state(ServiceState.WITHDRAWN)

    def action_missing(self) -> None:
        """Note that the items could not be found."""
        self._set_state(ServiceState.MISSING)

    def action_return_to_service(self) -> None:
        """Put the items back into service."""
        self._set_state(ServiceState.IN_SERVICE)

    def action_dispose(self) -> None:
        """Note that the items are gone for good."""
        self._set_state(ServiceState.DISPOSED)

    def _set_state(self, state: ServiceState) -> None:
        if not (items := self._items_or_say()):
            return

        def settled(changed: tuple[Appliance, ...] | None) -> None:
            if changed is not None:
                self.acted_on()
                self.shell.say(f"{len(changed)} {'item' if len(changed) == 1 else 'items'}: {state}.")

        self.app.push_screen(FormScreen(StateForm(self.desk, items, state)), settled)

    def acted_on(self) -> None:
        """Show the new state of things; a subclass may let go of its choice first."""
        self.load()

    def _items_or_say(self) -> tuple[Uid, ...]:
        items = self.items_to_act_on()
        if not items:
            self.shell.say("There is no item here to act on.")
        return items
