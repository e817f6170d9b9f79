"""The form that keeps a mapping under a name, to be offered again for tables that look alike."""

import os
from collections.abc import Sequence

from appreg.exchange.column_mapping import ColumnMapping
from appreg.tasks.importing.keep_mappings import keep_mapping
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_fields import YES_OR_NO, FormField, TypedForm, flag_shown


class KeepMappingForm(Form[str]):
    """Asks for the name; returns it."""

    title = "Keep the mapping"

    def __init__(self, desk: Desk, mapping: ColumnMapping, *, kept_as: str) -> None:
        """`kept_as` is the name of the one it came from; empty: it was guessed."""
        super().__init__(desk)
        self._mapping, self._kept_as = mapping, kept_as

    def fields(self) -> Sequence[FormField]:
        """The name, and whether one that is kept by it gives way."""
        return (
            FormField(name="name", label="Name", value=self._kept_as, required=True),
            FormField(
                name="over",
                label="In place of one of that name",
                choices=YES_OR_NO,
                value=flag_shown(bool(self._kept_as)),
            ),
        )

    def keep(self, typed: TypedForm) -> str:
        """Keep it."""
        return keep_mapping(os.environ, self._mapping, typed.text("name"), over=typed.flag("over")).stem
