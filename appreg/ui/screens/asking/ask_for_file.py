"""Asks where a document is written, and, before one that is there is replaced, whether it may be."""

import os
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

from appreg.ui.screens.asking.file_form import FileForm
from appreg.ui.screens.asking.pick_screen import Answer, PickScreen
from appreg.ui.screens.forms.file_form_screen import FileFormScreen
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.shell.command_screen import CommandScreen

_ANOTHER: Final = "another"
_REPLACE: Final = "replace"
_ANSWERS: Final = (
    Answer(_ANOTHER, "keep it, and choose another name"),
    Answer(_REPLACE, "replace it: what it holds now is lost"),
)


def ask_for_file(
    screen: CommandScreen[Any],
    form: FileForm,
    *,
    then: Callable[[Path, bool], None],
    on_paper: Callable[[], None] | None = None,
) -> None:
    """Open the form; `then` gets the file and whether one that is there gives way, unless the form is left.

    Where the answer is to keep the file that is there, the form opens again with what was typed. With `on_paper` the form
    has a key that calls this instead, for a document that can be printed.
    """

    def opened() -> None:
        asking = FormScreen(form) if on_paper is None else FileFormScreen(form)
        screen.app.push_screen(asking, lambda file: typed(asking, file))

    def typed(asking: FormScreen[Path], file: Path | None) -> None:
        if file is None:
            return
        if on_paper is not None and isinstance(asking, FileFormScreen) and asking.to_printer:
            on_paper()
            return
        if not os.path.lexists(file):
            then(file, False)
            return
        screen.app.push_screen(PickScreen(f"{file} is there already.", _ANSWERS), lambda answer: answered(file, answer))

    def answered(file: Path, answer: str | None) -> None:
        if answer == _REPLACE:
            then(file, True)
        else:
            form.suggested = file
            opened()

    opened()
