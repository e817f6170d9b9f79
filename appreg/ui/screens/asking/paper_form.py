"""The form of a declared document: what it may be told, and where it is written."""

from collections.abc import Sequence
from pathlib import Path
from typing import Final

from msgspec.structs import replace

from appreg.errors import asked_for
from appreg.tasks.desk.choose_file import chosen_file
from appreg.tasks.documents.paper_kinds import Ask, Asked, PaperKind
from appreg.ui.screens.asking.file_form import FileForm
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_fields import (
    YES_OR_NO,
    FormField,
    TypedForm,
    day_shown,
    flag_shown,
    number_shown,
)

_LABELS: Final = {
    Ask.SINCE: "Since",
    Ask.UNTIL: "Until",
    Ask.WITHIN: "Days ahead",
    Ask.INSTRUMENT: "Tested with",
    Ask.MAKE: "Make",
    Ask.MODEL: "Model",
    Ask.DETAILS: "With every reading",
    Ask.ROOM: "Location",
    Ask.ALSO: "Further items",
    Ask.SPARE: "Blank places",
    Ask.SIZE: "Sheet",
}
_DAYS: Final = frozenset({Ask.SINCE, Ask.UNTIL})
_NUMBERS: Final = {Ask.WITHIN: "days", Ask.SPARE: "places"}


class PaperForm(FileForm):
    """Asks what a document of its kind may be told, and for the file; nothing is written yet."""

    def __init__(
        self, desk: Desk, paper: PaperKind, asked: Asked, *, stem: str, suffix: str, said: Sequence[str] = ()
    ) -> None:
        super().__init__(desk, title=f"{paper.label[:1].upper()}{paper.label[1:]}", stem=stem, said=said, suffix=suffix)
        self._paper = paper
        self.asked = asked
        """What is asked for, once the form was kept with what was typed."""

    def fields(self) -> Sequence[FormField]:
        """What it may be told, then the file."""
        return (*(self._field(ask) for ask in self._paper.asks), *super().fields())

    def keep(self, typed: TypedForm) -> Path:
        """The file, made sure of; what was typed is kept in `asked`."""
        told = {ask.value: self._told(ask, typed) for ask in self._paper.asks}
        with asked_for("file"):
            file = chosen_file(typed.values["file"], self._suffix)
        self.asked = replace(self.asked, **told)
        return file

    def _field(self, ask: Ask) -> FormField:
        required = ask in self._paper.needs
        now = getattr(self.asked, ask.value)
        if ask is Ask.DETAILS:
            return FormField(name=ask.value, label=_LABELS[ask], value=flag_shown(now), choices=YES_OR_NO)
        shown = day_shown(now) if ask in _DAYS else number_shown(now) if ask in _NUMBERS else now
        return FormField(name=ask.value, label=_LABELS[ask], value=shown, required=required)

    def _told(self, ask: Ask, typed: TypedForm) -> object:
        if ask in _DAYS:
            return typed.day(ask.value, today=self.desk.today)
        if ask in _NUMBERS:
            return typed.whole(ask.value, _NUMBERS[ask])
        return typed.flag(ask.value) if ask is Ask.DETAILS else typed.text(ask.value)
