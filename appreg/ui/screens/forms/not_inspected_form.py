"""Why the item at hand, or several alike, are not inspected on this visit."""

from collections.abc import Sequence

from appreg.core.records.kept_records import Appliance
from appreg.core.records.work_records import NotInspected, NotInspectedBecause
from appreg.core.values.uids import Uid
from appreg.tasks.inspecting.record_not_inspected import record_not_inspected
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_fields import Choice, FormField, TypedForm


class NotInspectedForm(Form[NotInspected]):
    """Asks for the reason, and for a word on it."""

    def __init__(self, desk: Desk, items: Sequence[Appliance], visit: Uid) -> None:
        """Ask about one item, or several for the same reason, on one visit."""
        super().__init__(desk)
        self._items = items
        self._visit = visit
        first, last = items[0].tag, items[-1].tag
        self.title = f"{first} is not inspected" if len(items) == 1 else f"{first} to {last} are not inspected"

    def fields(self) -> Sequence[FormField]:
        """The reason and a note."""
        reasons = tuple(Choice(each.value, each.value) for each in NotInspectedBecause)
        return (
            FormField(name="because", label="because", value=reasons[0].value, choices=reasons),
            FormField(name="note", label="note", value=""),
        )

    def keep(self, typed: TypedForm) -> NotInspected:
        """Keep the reason, for all of them or for none; they stay due."""
        with self.desk.register.change(self.desk.who):
            kept = [
                record_not_inspected(
                    self.desk.register,
                    self.desk.who,
                    appliance=item.uid,
                    visit=self._visit,
                    because=NotInspectedBecause(typed.values["because"]),
                    note=typed.text("note"),
                )
                for item in self._items
            ]
        return kept[-1]
