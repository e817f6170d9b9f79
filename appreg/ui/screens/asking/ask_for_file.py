"""Asks where a document is written, and, before one that is there is replaced, whether it may be."""

import os
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

from appreg.ui.screens.asking.file_form import FileForm
from appreg.ui.screens.asking.pick_screen import Answer, PickScreen
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.shell.command_screen import CommandScreen

_ANOTHER: Final = "another"
_REPLACE: Final = "replace"
_ANSWERS: Final = (
    Answer(_ANOTHER, "keep it, and choose another name"),
    Answer(_REPLACE, "replace it: what it holds now is lost"),
)


def ask_for_file(screen: CommandScreen[Any], form: FileForm, *, then: Callable[[Path, bool], None]) -> None:
    """Open the form; `then` gets the file and whether one that is there gives way, unless the form is left.

    Where the answer is to keep the file that is there, the form opens again with what was typed.
    """

    def typed(file: Path | None) -> None:
        if file is None:
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
            screen.app.push_screen(FormScreen(form), typed)

    screen.app.push_screen(FormScreen(form), typed)
