"""The repair of a failed item: what was done, when, and who was told."""

from collections.abc import Sequence

from appreg.core.records.work_records import RemedialAction
from appreg.errors import asked_for
from appreg.tasks.inspecting.record_repair import record_repair
from appreg.tasks.inspecting.start_visit import refuse_day_ahead
from appreg.tasks.records.merge_changes import ChangedMeanwhile
from appreg.ui.screens.bench.bench_words import AFTER_REPAIR
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_fields import FormField, TypedForm, day_shown


class RepairForm(Form[RemedialAction]):
    """Asks what was done about one remedial action."""

    def __init__(self, desk: Desk, action: RemedialAction, tag: str) -> None:
        """Ask about an action of an item."""
        super().__init__(desk)
        self._action = action
        self.title = f"Repair of {tag}"

    def fields(self) -> Sequence[FormField]:
        """What was found, done, when, and who was told."""
        action = self._action
        done = action.repaired_on or self.desk.today
        return (
            FormField(name="repair", label="repair", value=action.repair, hint=f"put right: {action.what}"),
            FormField(name="on", label="date", value=day_shown(done), hint="needed with a repair"),
            FormField(name="told", label="told", value=action.told),
        )

    def keep(self, typed: TypedForm) -> RemedialAction:
        """Add to the action; the item stays withdrawn until a full inspection and test passes."""
        repair = typed.text("repair")
        on = typed.day("on", today=self.desk.today) if repair else None
        if on is not None:
            with asked_for("on"):
                refuse_day_ahead(on, today=self.desk.today, field="date")
        try:
            return record_repair(
                self.desk.register,
                self.desk.who,
                action=self._action.uid,
                repair=repair,
                on=on,
                told=typed.text("told"),
                opened=self._action,
            )
        except ChangedMeanwhile as conflict:
            self._action = conflict.base
            raise

    def cautions(self, typed: TypedForm) -> Sequence[str]:
        """Say what the repair does not do."""
        del typed
        return (AFTER_REPAIR,)
