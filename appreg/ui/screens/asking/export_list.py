"""Exports the list on a screen: asks for the file and which columns, and writes it while a bar shows how far it is."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final

from appreg.errors import asked_for
from appreg.exchange.list_file import CSV, JSON, ListHead
from appreg.exchange.list_workbook import XLSX
from appreg.progress import Progress
from appreg.tasks.desk.choose_file import chosen_file
from appreg.tasks.documents.export_list import export_list
from appreg.ui.lists.list_screen import ListScreen
from appreg.ui.lists.virtual_rows import Listing
from appreg.ui.screens.asking.ask_for_file import ask_for_file
from appreg.ui.screens.asking.file_form import FileForm
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_fields import Choice, FormField, TypedForm
from appreg.ui.screens.long_work.long_work_screen import Done, LongWorkScreen

_SHOWN: Final = "shown"
_EVERY: Final = "every"
_CHOICES: Final = (
    Choice(_SHOWN, "those on the screen"),
    Choice(_EVERY, "every column of the list"),
)


class ListFileForm(FileForm):
    """Asks for a file, CSV, JSON or a workbook by its name, and for the columns."""

    def __init__(self, desk: Desk, *, stem: str, said: Sequence[str] = ()) -> None:
        super().__init__(desk, title="Export list", stem=stem, said=said, suffix=CSV)
        self.every_column = False

    def fields(self) -> Sequence[FormField]:
        """The file, and which columns."""
        now = _EVERY if self.every_column else _SHOWN
        return (*super().fields(), FormField(name="columns", label="Columns", value=now, choices=_CHOICES))

    def keep(self, typed: TypedForm) -> Path:
        """The file, made sure of; its ending says which form it has."""
        self.every_column = typed.values["columns"] == _EVERY
        name = typed.values["file"]
        with asked_for("file"):
            ending = next((each for each in (JSON, XLSX) if name.strip().lower().endswith(each)), CSV)
            return chosen_file(name, ending)


def ask_and_export(screen: ListScreen[Any]) -> None:
    """Export the rows of a list as they stand."""
    table, shell = screen.table, screen.shell
    if not table.is_whole or table.is_finding:
        shell.say("The rows are still being read: export them once they are counted.")
        return
    if table.refused:
        shell.say(f"No file is written of what was not understood: {table.refused}")
        return
    arrangement, title, part, listing = (
        table.arrangement,
        screen.title_of_list(),
        screen.part_of_list(),
        table.listing(),
    )
    kept = f" that answer to “{arrangement.text}”" if arrangement.text else ""
    only = f" ({part})" if part else ""
    what = f"{listing.count_words}{only}{kept}, in the order on the screen: CSV, or by the ending {XLSX} or {JSON}."
    form = ListFileForm(Desk(shell.register, shell.who, shell.present_day), stem=title, said=(what,))

    def write_to(file: Path, replace: bool) -> None:
        head, cells = _head(" · ".join(each for each in (title, part) if each), listing, every=form.every_column)

        def write(progress: Progress) -> int:
            with shell.register.reopen() as own:
                return export_list(
                    head,
                    lambda start, stop: [[row[at] for at in cells] for row in listing.rows(start, stop, own)],
                    listing.length,
                    out=file,
                    replace=replace,
                    progress=progress,
                )

        def written(done: Done[int] | None) -> None:
            if done is not None:
                shell.say(f"Written: {file}, {listing.count_words}.")

        screen.app.push_screen(LongWorkScreen(f"Writing {file.name}", write), written)

    ask_for_file(screen, form, then=write_to)


def _head(title: str, listing: Listing, *, every: bool) -> tuple[ListHead, list[int]]:
    """What is said above the rows, and the places of the columns that are written."""
    cells = [at for at in range(len(listing.columns)) if listing.columns[at].in_files and (every or at in listing.seen)]
    named = {column.key: column.filed or column.key for column in listing.columns}
    head = ListHead(
        title=title,
        filter=listing.arrangement.text,
        sorted_by=named.get(listing.arrangement.column, ""),
        descending=listing.arrangement.descending,
        columns=tuple(named[listing.columns[at].key] for at in cells),
        days=frozenset(named[column.key] for column in listing.columns if column.day),
    )
    return head, cells
