"""The form that asks where a document is written."""

import os
from collections.abc import Sequence
from pathlib import Path

from appreg.errors import asked_for
from appreg.tasks.desk.choose_file import chosen_file, suggested_file
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_fields import FormField, TypedForm

PDF = ".pdf"


class FileForm(Form[Path]):
    """Asks for one file name; nothing is written yet."""

    def __init__(self, desk: Desk, *, title: str, stem: str, said: Sequence[str] = (), suffix: str = PDF) -> None:
        """`stem` begins the suggested name; `said` is what must be read before the file is written."""
        super().__init__(desk)
        self.title = title
        self._said = tuple(said)
        self._suffix = suffix
        self.suggested = suggested_file(stem, suffix, on=desk.today, environ=os.environ)
        """What stands in the field when the form opens."""

    def fields(self) -> Sequence[FormField]:
        """The file."""
        return (FormField(name="file", label="File", value=str(self.suggested), required=True),)

    def keep(self, typed: TypedForm) -> Path:
        """The file, made sure of."""
        with asked_for("file"):
            return chosen_file(typed.values["file"], self._suffix)

    def cautions(self, typed: TypedForm) -> Sequence[str]:
        """What is about to be written, and what to mind."""
        del typed
        return self._said
