"""The form that asks where a document is written, with a key that has it printed instead."""

from pathlib import Path
from typing import ClassVar

from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.shell.commands import Command


class FileFormScreen(FormScreen[Path]):
    """Returns the file; `to_printer` says whether the person wants paper instead of it."""

    TITLE_IN_HELP = "where a document is written"
    DECLARED: ClassVar[tuple[Command, ...]] = (
        *FormScreen.DECLARED,
        Command(
            action="to_printer",
            key="f10",
            label="on paper",
            help="Print it on a printer of this computer, which is chosen next, and keep no file.",
            priority=True,
        ),
    )
    to_printer = False

    def action_to_printer(self) -> None:
        """Keep what was typed, and go on to the printers."""
        self.to_printer = True
        self.action_save()
        # Refused, the form stays, and its other keys write a file again.
        self.to_printer = not self.is_current
