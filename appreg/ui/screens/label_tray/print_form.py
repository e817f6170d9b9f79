"""The form that asks where the label sheets are written."""

import os
from collections.abc import Sequence
from pathlib import Path

from appreg.tasks.choose_file import chosen_file, suggested_file
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_fields import FormField, TypedForm

SUFFIX = ".pdf"


class PrintForm(Form[Path]):
    """Asks for one file name; nothing is written yet."""

    title = "Print labels"

    def __init__(self, desk: Desk, what: str) -> None:
        """`what` says how many labels go onto which sheets."""
        super().__init__(desk)
        self._what = what
        self._suggested = suggested_file("labels", SUFFIX, on=desk.today, environ=os.environ)

    def fields(self) -> Sequence[FormField]:
        """The file."""
        return (FormField(name="file", label="File", value=str(self._suggested), required=True),)

    def keep(self, typed: TypedForm) -> Path:
        """The file, made sure of."""
        return chosen_file(typed.values["file"], SUFFIX)

    def cautions(self, typed: TypedForm) -> Sequence[str]:
        """What is about to be printed, and how."""
        del typed
        return (self._what, "Print at full size: fitting to the page moves every label.")
