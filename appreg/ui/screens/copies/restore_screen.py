"""Asks before a copy takes the register's place: what it is, what it lacks, and what happens."""

from collections.abc import Iterator
from typing import ClassVar

from textual.containers import VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.text import shown
from appreg.tasks.restore_copy import PreparedRestore, lacking_sentences
from appreg.ui.command_screen import CommandModal
from appreg.ui.commands import Command


class RestoreScreen(CommandModal[bool]):
    """What a restore would do; returns True where it is wanted."""

    CSS_PATH = "restore_screen.tcss"
    TITLE_IN_HELP = "Restore a copy"
    HOLDS = True
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(
            action="put",
            key="y",
            label="close appreg and put it in place",
            help="Close appreg and put the copy in the register's place; what stands there now is kept.",
        ),
        Command(action="back", key="escape", label="leave everything as it is", help="Change nothing."),
    )

    def __init__(self, prepared: PreparedRestore) -> None:
        super().__init__()
        self._prepared = prepared

    def compose_body(self) -> Iterator[Widget]:
        """The sentences, one below the other."""
        prepared = self._prepared
        with VerticalScroll():
            yield _sentence(
                f"{prepared.copy.name} is sound, up to line {prepared.end.line} of the journal "
                f"({prepared.end.time_in_words}).",
                "copy",
            )
            for sentence in lacking_sentences(prepared):
                yield _sentence(sentence, "lacks")
            yield _sentence(
                "appreg closes, and what is typed and not saved is lost. The register as it is now is kept among "
                "the copies, as one that was set aside; start appreg again to work on.",
                "happens",
            )

    def load(self) -> None:
        """Name the screen."""
        self.show_place(f"Restore a copy · {self._prepared.register.name}")

    def action_put(self) -> None:
        """It is wanted."""
        self.dismiss(True)


def _sentence(sentence: str, kind: str) -> Static:
    return Static(Content(shown(sentence)), classes=kind, markup=False)
