"""The form that notes what a figure of a rule book was compared with."""

from collections.abc import Sequence

from appreg.core.records.job_records import FigureLookedUp
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.rule_values import RuleValue
from appreg.errors import asked_for
from appreg.tasks.records.look_up_figure import note_looked_up
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_fields import FormField, TypedForm, day_shown


class LookedUpForm(Form[FigureLookedUp]):
    """Which copy of which document the figure was found in."""

    def __init__(self, desk: Desk, book: RuleBook, value: RuleValue) -> None:
        super().__init__(desk)
        self._book = book
        self._value = value
        amount = " ".join(part for part in (value.value, value.unit) if part)
        self.title = f"Compared: {value.title}, {amount}"

    def fields(self) -> Sequence[FormField]:
        """The copy, its edition, and the day."""
        return (
            FormField(name="document", label="Document", required=True),
            FormField(name="edition", label="Edition"),
            FormField(name="on", label="On", value=day_shown(self.desk.today), required=True),
        )

    def keep(self, typed: TypedForm) -> FigureLookedUp:
        """Note it."""
        today = self.desk.today
        on = typed.day("on", today=today) or today
        with asked_for("document"):
            return note_looked_up(
                self.desk.register,
                self.desk.who,
                rule_book=self._book.id,
                key=self._value.key,
                document=typed.text("document"),
                edition=typed.text("edition"),
                on=on,
                today=today,
            )
