"""The form of a declared document: what it may be told, and where it is written."""

from collections.abc import Sequence
from pathlib import Path
from typing import Final

from msgspec.structs import replace

from appreg.core.records.kept_records import Location
from appreg.errors import asked_for
from appreg.paper.page.sheet_size import SheetSize
from appreg.tasks.desk.choose_file import chosen_file
from appreg.tasks.documents.paper_kinds import Ask, Asked, PaperKind
from appreg.ui.screens.asking.file_form import FileForm
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_fields import (
    YES_OR_NO,
    Choice,
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
_CHOSEN: Final = frozenset({Ask.ROOM, Ask.SIZE})
_SIZES: Final = (Choice("", "the usual one"), *(Choice(each.value, each.value.upper()) for each in SheetSize))
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
        return (*(self._field(ask) for ask in self._asks), *super().fields())

    def keep(self, typed: TypedForm) -> Path:
        """The file, made sure of; what was typed is kept in `asked`."""
        told = {ask.value: self._told(ask, typed) for ask in self._asks}
        with asked_for("file"):
            file = chosen_file(typed.values["file"], self._suffix)
        self.asked = replace(self.asked, **told)
        return file

    @property
    def _asks(self) -> Sequence[Ask]:
        """What says nothing of what is at hand is not asked: rooms where it is an item, further items where it is a site."""
        idle = {Ask.ROOM} if self.asked.item else {Ask.ALSO} if self.asked.site else set()
        return [ask for ask in self._paper.asks if ask not in idle]

    def _field(self, ask: Ask) -> FormField:
        required = ask in self._paper.needs
        now = getattr(self.asked, ask.value)
        if ask in _CHOSEN:
            choices = self._rooms() if ask is Ask.ROOM else _SIZES
            return FormField(name=ask.value, label=_LABELS[ask], value=now or choices[0].value, choices=choices)
        if ask is Ask.DETAILS:
            return FormField(name=ask.value, label=_LABELS[ask], value=flag_shown(bool(now)), choices=YES_OR_NO)
        shown = day_shown(now) if ask in _DAYS else number_shown(now) if ask in _NUMBERS else now
        return FormField(name=ask.value, label=_LABELS[ask], value=shown, required=required)

    def _rooms(self) -> tuple[Choice, ...]:
        there = self.desk.register.find_readable(Location, site=self.asked.site) if self.asked.site else []
        names = sorted((each.name for each in there), key=str.casefold)
        every = () if Ask.ROOM in self._paper.needs and names else (Choice("", "all locations"),)
        return (*every, *(Choice(name, name) for name in names))

    def _told(self, ask: Ask, typed: TypedForm) -> object:
        if ask in _DAYS:
            return typed.day(ask.value, today=self.desk.today)
        if ask in _NUMBERS:
            return typed.whole(ask.value, _NUMBERS[ask])
        return typed.flag(ask.value) if ask is Ask.DETAILS else typed.text(ask.value)
