"""Asks whether the sheets came out of the printer: only then do their labels count as printed."""

from collections.abc import Sequence
from pathlib import Path

from appreg.core.values.places_and_tags import read_places
from appreg.errors import asked_for
from appreg.tasks.documents.confirm_printed import ConfirmedLabels, confirm_printed
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_fields import FormField, TypedForm


class CameOutForm(Form[ConfirmedLabels]):
    """Kept, it counts all labels but the spoiled ones; left, all of them wait on."""

    title = "Did the sheets come out?"

    def __init__(self, desk: Desk, file: Path) -> None:
        """`file`: the sheets as they were written."""
        super().__init__(desk)
        self._file = file

    def fields(self) -> Sequence[FormField]:
        """The places that were spoiled."""
        return (FormField(name="spoiled", label="Spoiled places", value="", hint="none"),)

    def keep(self, typed: TypedForm) -> ConfirmedLabels:
        """Count the labels as printed."""
        with asked_for("spoiled"):
            places = read_places(typed.values["spoiled"])
        return confirm_printed(
            self.desk.register, self.desk.who, file=self._file, spoiled=places, today=self.desk.today
        )

    def cautions(self, typed: TypedForm) -> Sequence[str]:
        """What either answer means."""
        del typed
        return (
            f"Print {self._file} now. Once its labels lie before you, keep this form: they count as printed.",
            "Spoiled places, say 2:7-9 for the second sheet, wait to be printed again. Leave the form, and all wait on.",
        )
