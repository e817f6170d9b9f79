"""The forms for settings that are typed."""

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import Final

from msgspec import Struct

from appreg.errors import asked_for
from appreg.tasks.desk.keep_settings import (
    MOST_COPIES,
    MOST_COPY_DAYS,
    MOST_DAYS,
    MOST_ISSUE_DAYS,
    Settings,
    checked_folder,
    checked_number,
    checked_offsets,
    checked_port,
    checked_typefaces,
    checked_who,
    is_folder,
)
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_fields import FormField, TypedForm


class AskedNumber(Struct, frozen=True, kw_only=True):
    """A setting that is a number."""

    label: str
    what: str
    """What is counted, for the sentence that refuses something else."""
    units: tuple[str, ...]
    least: int
    most: int


NUMBERS: Final[Mapping[str, AskedNumber]] = {
    "due_within_days": AskedNumber(label="Due within days", what="days", units=("days", "d"), least=0, most=MOST_DAYS),
    "issue_limit_days": AskedNumber(
        label="Last test at issue", what="days", units=("days", "d"), least=0, most=MOST_ISSUE_DAYS
    ),
    "copies_kept": AskedNumber(label="Kept copies", what="copies", units=("copies",), least=1, most=MOST_COPIES),
    "copies_days": AskedNumber(
        label="Days of weekly copies", what="days", units=("days", "d"), least=0, most=MOST_COPY_DAYS
    ),
}
"""By the setting's name."""


class AskedPlace(Struct, frozen=True, kw_only=True):
    """A setting that is a folder, a file or a port."""

    label: str
    check: Callable[[str], str]
    look: Callable[[str], object] = str
    """Raises InputRefused where what stands there cannot be used."""


def _read_lines(file: str) -> object:
    from appreg.tasks.inspecting.read_instrument import lines_of_instrument  # noqa: PLC0415 - only once it is typed

    return lines_of_instrument(Settings(instrument_lines=file))


PLACES: Final[Mapping[str, AskedPlace]] = {
    "downloads": AskedPlace(label="Downloads", check=partial(checked_folder, called="Downloads")),
    "instrument_lines": AskedPlace(
        label="Lines of the instrument",
        check=partial(checked_folder, called="Lines of the instrument"),
        look=_read_lines,
    ),
    "instrument_port": AskedPlace(label="Port of the instrument", check=checked_port),
}
"""By the setting's name."""


class NumberForm(Form[int]):
    """Asks for a number."""

    def __init__(self, desk: Desk, asked: AskedNumber, now: int) -> None:
        super().__init__(desk)
        self._asked, self._now = asked, now
        self.title = f"Settings · {asked.label[0].lower()}{asked.label[1:]}"

    def fields(self) -> Sequence[FormField]:
        """The number."""
        return (FormField(name="number", label=self._asked.label, value=str(self._now), required=True),)

    def keep(self, typed: TypedForm) -> int:
        """The number, within what can be used."""
        asked = self._asked
        number = typed.whole("number", *asked.units)
        if number is None:
            raise typed.refused("number", f"nothing is given; write a number of {asked.what}.")
        with asked_for("number"):
            return checked_number(number, asked.label, asked.least, asked.most)


class FolderForm(Form[str]):
    """Asks for the second folder of kept copies."""

    title = "Settings · second folder"

    def __init__(self, desk: Desk, folder: str) -> None:
        super().__init__(desk)
        self._folder = folder

    def fields(self) -> Sequence[FormField]:
        """The folder."""
        return (FormField(name="folder", label="Second folder", value=self._folder, hint="empty: none"),)

    def keep(self, typed: TypedForm) -> str:
        """The folder in full, or nothing."""
        with asked_for("folder"):
            return checked_folder(typed.values["folder"])

    def cautions(self, typed: TypedForm) -> Sequence[str]:
        """Whether it is there now."""
        folder = typed.values["folder"].strip()
        if not folder or is_folder(folder):
            return ()
        return ("There is no such folder just now; copies go there whenever it is there.",)


class PlaceForm(Form[str]):
    """Asks for a folder, a file or a port of this computer."""

    def __init__(self, desk: Desk, asked: AskedPlace, now: str) -> None:
        super().__init__(desk)
        self._asked, self._now = asked, now
        self.title = f"Settings · {asked.label[0].lower()}{asked.label[1:]}"

    def fields(self) -> Sequence[FormField]:
        """The place."""
        return (FormField(name="place", label=self._asked.label, value=self._now, hint="empty: none"),)

    def keep(self, typed: TypedForm) -> str:
        """The place in full, or nothing; a file is read, so that what is wrong with it is told now."""
        with asked_for("place"):
            place = self._asked.check(typed.values["place"])
            if place:
                self._asked.look(place)
            return place


class OffsetsForm(Form[str]):
    """Asks how far the print of labels is moved for each printer."""

    title = "Settings · printer offsets"

    def __init__(self, desk: Desk, offsets: str) -> None:
        super().__init__(desk)
        self._offsets = offsets

    def fields(self) -> Sequence[FormField]:
        """All printers on one line."""
        return (FormField(name="offsets", label="Printer offsets", value=self._offsets, hint="empty: none"),)

    def keep(self, typed: TypedForm) -> str:
        """The offsets as written, or nothing."""
        with asked_for("offsets"):
            return checked_offsets(typed.values["offsets"])


class TypefacesForm(Form[str]):
    """Asks which files draw the scripts that the usual typeface lacks."""

    title = "Settings · other typefaces"

    def __init__(self, desk: Desk, files: str) -> None:
        super().__init__(desk)
        self._files = files

    def fields(self) -> Sequence[FormField]:
        """All files on one line."""
        return (
            FormField(
                name="files", label="Files (.ttf)", value=self._files, hint="by semicolons; empty: those installed"
            ),
        )

    def keep(self, typed: TypedForm) -> str:
        """The files as written, or nothing."""
        with asked_for("files"):
            return checked_typefaces(typed.values["files"])


class WhoForm(Form[str]):
    """Asks who is working."""

    title = "Settings · who is working"

    def __init__(self, desk: Desk, who: str, machine: str) -> None:
        """`who` is what is set now, `machine` what holds where nothing is."""
        super().__init__(desk)
        self._who, self._machine = who, machine

    def fields(self) -> Sequence[FormField]:
        """The name."""
        return (FormField(name="who", label="Who is working", value=self._who, hint=f"empty: {self._machine}"),)

    def keep(self, typed: TypedForm) -> str:
        """The name in one line, or nothing."""
        with asked_for("who"):
            return checked_who(typed.values["who"])

    def cautions(self, typed: TypedForm) -> Sequence[str]:
        """What the name is for."""
        del typed
        return ("The journal keeps this name with every change; it stands in for no signature.",)
