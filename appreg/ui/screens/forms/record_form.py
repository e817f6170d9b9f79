"""The base of forms that change a record: only what was changed in the form is written."""

from typing import Any

from msgspec.structs import replace

from appreg.core.records.appliances import Fact
from appreg.tasks.records.change_record import Changeable, change_record
from appreg.tasks.records.merge_changes import ChangedMeanwhile
from appreg.ui.screens.forms.form import Desk, Form


class RecordForm(Form[Changeable]):
    """The questions of one kind of record, new or there already."""

    def __init__(self, desk: Desk, existing: Changeable | None = None) -> None:
        super().__init__(desk)
        self._existing: Changeable | None = existing

    def change(self, existing: Changeable, *, just_measured: tuple[Fact, ...] = (), **given: Any) -> Changeable:
        """Keep what differs from the record as it was opened, and which facts of an item were measured just now.

        Raises ChangedMeanwhile where another desk changed the same field; saved once more, the form then knows.
        """
        try:
            return change_record(
                self.desk.register,
                self.desk.who,
                replace(existing, **given),
                opened=existing,
                measured=just_measured,
            )
        except ChangedMeanwhile as conflict:
            self._existing = conflict.base
            raise
