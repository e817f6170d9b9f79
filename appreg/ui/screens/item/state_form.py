"""The form that takes items out of use: why, in the person's words."""

from collections.abc import Sequence

from appreg.core.appliances import ServiceState
from appreg.core.records import Appliance
from appreg.core.uids import Uid
from appreg.register.journal import journal_end
from appreg.tasks.merge_changes import ChangedMeanwhile
from appreg.tasks.set_many_states import set_many_states
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_fields import FormField, TypedForm

_VERBS = {
    ServiceState.WITHDRAWN: "Withdraw",
    ServiceState.MISSING: "Mark missing",
    ServiceState.DISPOSED: "Mark disposed of",
    ServiceState.IN_SERVICE: "Return to service",
}
_CAUTIONS = {
    ServiceState.WITHDRAWN: "A withdrawn item must not be used: keep it apart, or make sure nobody can plug it in.",
    ServiceState.DISPOSED: "Cut the cord off, so that nobody takes the item back into use.",
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
        return (FormField(name="reason", label="Reason", hint="say why; it joins the item's notes"),)

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
