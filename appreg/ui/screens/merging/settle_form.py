"""The form that asks for a value that none of two places has."""

from collections.abc import Sequence

from appreg.tasks.keeping.settle_contests import Contest
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_fields import FormField, TypedForm


class SettleForm(Form[str]):
    """Asks for one text; nothing is settled yet."""

    def __init__(self, desk: Desk, contest: Contest, what: str) -> None:
        """`what` is the field in words."""
        super().__init__(desk)
        self.title = f"{what[:1].upper()}{what[1:]} of {contest.called}"
        self._stands = str(contest.stands.value)

    def fields(self) -> Sequence[FormField]:
        """The text, begun with the one that stands."""
        return (FormField(name="value", label="Meant is", value=self._stands),)

    def keep(self, typed: TypedForm) -> str:
        """What was typed."""
        return typed.text("value")
