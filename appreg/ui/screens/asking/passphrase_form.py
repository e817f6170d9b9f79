"""The form that asks for the passphrase of an encrypted file."""

from collections.abc import Sequence
from pathlib import Path

from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_fields import FormField, TypedForm


class PassphraseForm(Form[str]):
    """Asks for it; whether it is the right one is told where the file is read."""

    def __init__(self, desk: Desk, file: Path) -> None:
        super().__init__(desk)
        self.title = f"{file.name} is encrypted"

    def fields(self) -> Sequence[FormField]:
        """The passphrase."""
        return (FormField(name="passphrase", label="Passphrase", required=True),)

    def keep(self, typed: TypedForm) -> str:
        """As it was typed."""
        return typed.values["passphrase"]
