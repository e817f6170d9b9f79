"""Takes a table from elsewhere in: asks for the file, reads it, and opens the screen of its columns."""

import os
from pathlib import Path
from typing import Any

from appreg.core.values.uids import Uid
from appreg.exchange.source_file import Source, read_source
from appreg.progress import Progress
from appreg.tasks.importing.keep_mappings import OfferedMapping, offered_mapping
from appreg.tasks.importing.row_plans import ImportOrder
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.imports.import_file_form import ImportFileForm
from appreg.ui.screens.imports.import_mapping_screen import ImportMappingScreen
from appreg.ui.screens.imports.mapping_forms import with_columns
from appreg.ui.screens.long_work.long_work_screen import Done, LongWorkScreen
from appreg.ui.shell.command_screen import CommandScreen

Screen = CommandScreen[Any]


def import_list(screen: Screen, *, site: Uid | None = None, typed: str = "") -> None:
    """Ask for a table and open its columns; where it cannot be read, that is said and the form opens again."""

    def chosen(path: Path | None) -> None:
        if path is not None:
            open_table(screen, path, site=site)

    screen.app.push_screen(FormScreen(ImportFileForm(_desk_of(screen), typed=typed)), chosen)


def open_table(screen: Screen, path: Path, *, site: Uid | None = None) -> None:
    """Read a table and open its columns, by the kept mapping that fits it or as guessed."""

    def read(progress: Progress) -> tuple[Source, OfferedMapping]:
        source = read_source(path, progress=progress)
        return source, offered_mapping(os.environ, source)

    def opened(done: Done[tuple[Source, OfferedMapping]] | None) -> None:
        if done is None:
            import_list(screen, site=site, typed=str(path))
            return
        source, offered = done.value
        for fault in offered.faults:
            screen.shell.warn(fault)
        order = ImportOrder(source=source, mapping=offered.mapping, site=site, today=screen.shell.today)
        screen.app.push_screen(ImportMappingScreen(with_columns(order), kept_as=offered.kept_as))

    screen.app.push_screen(LongWorkScreen(f"Reading {path.name}", read), opened)


def _desk_of(screen: Screen) -> Desk:
    return Desk(screen.shell.register, screen.shell.who, screen.shell.present_day)
