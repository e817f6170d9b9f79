"""The form that asks for the table that is to be taken in."""

from collections.abc import Sequence
from pathlib import Path

from appreg.errors import InputRefused, asked_for
from appreg.exchange.register_lines import LINES_END
from appreg.tasks.desk.named_file import named_file
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_fields import FormField, TypedForm


class ImportFileForm(Form[Path]):
    """Asks for a file; nothing of it is read yet."""

    title = "Import a list or results"

    def __init__(self, desk: Desk, *, typed: str = "") -> None:
        """`typed` is what stands in it when it opens."""
        super().__init__(desk)
        self._typed = typed

    def fields(self) -> Sequence[FormField]:
        """The file."""
        return (FormField(name="file", label="File", value=self._typed, required=True),)

    def keep(self, typed: TypedForm) -> Path:
        """The file, which is there."""
        with asked_for("file"):
            path = named_file(typed.text("file"), field="File")
            if not path.exists():
                raise InputRefused(f"File: there is no {path}; check the name and the folder.")
            if path.is_dir() or path.suffix.lower() == LINES_END:
                raise InputRefused(
                    f"File: {path.name} holds whole records, no table; take it in with `appreg import {path.name}`."
                )
        return path
