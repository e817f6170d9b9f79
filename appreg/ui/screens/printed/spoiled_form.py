"""Asks which labels of a job came out badly; they wait to be printed again."""

from collections.abc import Sequence

from appreg.core.records.print_jobs import PrintJob
from appreg.core.values.places_and_tags import read_places
from appreg.errors import asked_for
from appreg.tasks.documents.send_to_printer import spoil_printed
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_fields import FormField, TypedForm


class SpoiledForm(Form[int]):
    """Kept, it gives how many labels wait again."""

    title = "Spoiled labels"

    def __init__(self, desk: Desk, job: PrintJob) -> None:
        super().__init__(desk)
        self._job = job

    def fields(self) -> Sequence[FormField]:
        """The places."""
        return (FormField(name="spoiled", label="Spoiled places", required=True),)

    def keep(self, typed: TypedForm) -> int:
        """Have them wait again."""
        with asked_for("spoiled"):
            places = read_places(typed.values["spoiled"])
        return spoil_printed(self.desk.register, self.desk.who, number=self._job.number, spoiled=places)

    def cautions(self, typed: TypedForm) -> Sequence[str]:
        """Which job it is."""
        del typed
        return (
            f"Job {self._job.number}, {self._job.what}: these wait in the label tray again, the others stay printed.",
        )
