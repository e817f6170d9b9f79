"""Asks of what, from whom and where to messages are drafted; nothing is written yet."""

import os
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from msgspec import Struct

from appreg.core.values.text import clean
from appreg.errors import asked_for
from appreg.exchange.draft_message import address_typed
from appreg.tasks.desk.choose_file import suggested_file
from appreg.tasks.desk.named_file import named_file
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_fields import FormField, TypedForm

USUAL_DAYS: Final = 60
"""How far ahead, where nothing is said: as `appreg remind` has it."""
_LONGEST: Final = 1000


class WantedReminders(Struct, frozen=True, kw_only=True):
    """What is to be drafted."""

    folder: Path
    within_days: int
    sender: str


class RemindForm(Form[WantedReminders]):
    """Kept, it says what is wanted; the messages are written after that."""

    title = "Reminders"

    def __init__(self, desk: Desk, *, of: str) -> None:
        """`of`: the sites, in words."""
        super().__init__(desk)
        self._of = of
        self.suggested = suggested_file("reminders", "", on=desk.today, environ=os.environ)
        """What stands in the field when the form opens."""

    def fields(self) -> Sequence[FormField]:
        """Days, sender, folder."""
        return (
            FormField(name="within", label="Days ahead", value=str(USUAL_DAYS), required=True),
            FormField(name="sender", label="From", hint="empty: you say it in your mail program"),
            FormField(name="folder", label="Folder", value=str(self.suggested), required=True),
        )

    def keep(self, typed: TypedForm) -> WantedReminders:
        """What is wanted, made sure of."""
        days = typed.whole("within", "days")
        if days is None:
            raise typed.refused("within", "no number is given; say how many days ahead, 60 say.")
        sender = typed.text("sender")
        with asked_for("sender"):
            sender = address_typed(sender) if sender else ""
        with asked_for("folder"):
            text = clean(typed.values["folder"], field="folder", longest=_LONGEST)
            folder = named_file(text, field="Folder")
        if not folder.parent.is_dir():
            raise typed.refused("folder", f"there is no folder {folder.parent}; make it first or choose another.")
        return WantedReminders(folder=folder, within_days=days, sender=sender)

    def cautions(self, typed: TypedForm) -> Sequence[str]:
        """What is about to be written."""
        del typed
        return (
            f"A draft to each person who sees to a site with something due, {self._of}: list and calendar attached. Nothing is sent.",
        )
