"""The form that asks for a value that none of two places has."""

from collections.abc import Sequence

from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_fields import FormField, TypedForm


class SettleForm(Form[str]):
    """Asks for one text; nothing is settled yet."""

    def __init__(self, desk: Desk, title: str, stands: str) -> None:
        """`title` says what of which record is asked for, `stands` what it is now."""
        super().__init__(desk)
        self.title = f"{title[:1].upper()}{title[1:]}"
        self._stands = stands

    def fields(self) -> Sequence[FormField]:
        """The text, begun with the one that stands."""
        return (FormField(name="value", label="Meant is", value=self._stands),)

    def keep(self, typed: TypedForm) -> str:
        """What was typed."""
        return typed.text("value")
