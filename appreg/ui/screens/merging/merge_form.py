"""The form that asks for the copy that is to be taken in."""

import os
from collections.abc import Sequence
from pathlib import Path

from appreg.errors import InputRefused, asked_for
from appreg.register.engine.places import Place
from appreg.tasks.desk.locate_register import named_place
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_fields import FormField, TypedForm


class MergeForm(Form[Place]):
    """Asks for a file or a database; nothing of it is read yet."""

    title = "Take in another copy"

    def __init__(self, desk: Desk, *, typed: str = "") -> None:
        """`typed` is what stands in it when it opens."""
        super().__init__(desk)
        self._typed = typed

    def fields(self) -> Sequence[FormField]:
        """The file or the address."""
        return (FormField(name="other", label="Copy", value=self._typed, hint="only looked at first", required=True),)

    def keep(self, typed: TypedForm) -> Place:
        """The place, where something is."""
        with asked_for("other"):
            place = named_place(typed.text("other"), os.environ, field="Copy")
            if isinstance(place, Path) and not place.is_file():
                raise InputRefused(f"Copy: there is no file {place}; check the name and the folder.")
        return place
