"""Kept copies: the list of them, one made now, one checked, one put in the register's place."""

from collections.abc import Iterable
from pathlib import Path
from typing import ClassVar

from textual import on
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.text import shown
from appreg.tasks.keep_copy import MadeCopy, keep_copy, problem_words
from appreg.tasks.list_copies import copies_folder, list_copies, second_copies_folder
from appreg.tasks.restore_copy import PreparedRestore, checked_copy_words, prepare_restore
from appreg.ui.commands import Command
from appreg.ui.list_screen import ListScreen
from appreg.ui.screens.copies.copy_columns import COPY_COLUMNS, ListedCopy, size_words
from appreg.ui.screens.copies.restore_screen import RestoreScreen
from appreg.ui.screens.long_work.long_work_screen import Done, LongWorkScreen, Progress
from appreg.ui.widgets.row_sources import MemoryRows
from appreg.ui.widgets.virtual_table import VirtualTable


class CopiesScreen(ListScreen[None]):
    """Every copy that is kept of the register, the newest first."""

    CSS_PATH = "copies_screen.tcss"
    TITLE_IN_HELP = "Kept copies"
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(
            action="make",
            key="n",
            label="copy now",
            help="Make a whole copy of the register as it is now, and check it.",
        ),
        Command(
            action="restore",
            key="enter",
            label="restore",
            help="Check the copy under the cursor, see what it lacks, and put it in the register's place.",
        ),
        Command(action="check", key="v", label="check", help="Check the copy under the cursor from end to end."),
    )

    def __init__(self) -> None:
        super().__init__()
        self._rows: MemoryRows[ListedCopy] = MemoryRows(COPY_COLUMNS, (), key=_key)

    def make_list(self) -> VirtualTable:
        """The copies."""
        return VirtualTable(COPY_COLUMNS, empty="no copy is kept yet")

    def compose_body(self) -> Iterable[Widget]:
        """The list, the file under the cursor named below."""
        yield from super().compose_body()
        yield Static(id="in-full", markup=False)

    def load(self) -> None:
        """Look for the copies."""
        path = self.shell.register.path
        listed = [ListedCopy(copy, "beside it") for copy in list_copies(copies_folder(path))]
        if self.shell.settings.second_folder:
            second = second_copies_folder(path, Path(self.shell.settings.second_folder).expanduser())
            listed += [ListedCopy(copy, "second folder") for copy in list_copies(second)]
        self._rows = MemoryRows(COPY_COLUMNS, listed, key=_key)
        self.pane.show(self._rows)
        self.show_place(f"Kept copies · {self.shell.register.name}", copies_folder(path).name)

    @on(VirtualTable.Moved)
    @on(VirtualTable.Arranged)
    def _name_file(self) -> None:
        listed = self._under_cursor()
        self.query_one("#in-full", Static).update(Content("" if listed is None else shown(listed.copy.path.name)))

    def action_make(self) -> None:
        """Make one now."""
        shell = self.shell

        def make(progress: Progress) -> MadeCopy:
            with shell.register.reopen() as register:
                return keep_copy(register, settings=shell.settings, now=shell.clock(), progress=progress)

        self.app.push_screen(LongWorkScreen("Copying the register and checking the copy", make), self._made)

    def action_check(self) -> None:
        """Check the one under the cursor."""
        listed = self._under_cursor()
        if listed is None:
            return
        copy = listed.copy.path

        def told(done: Done[str] | None) -> None:
            if done is not None:
                self.shell.say(done.value)

        work = LongWorkScreen(f"Checking {copy.name}", lambda progress: checked_copy_words(copy, progress))
        self.app.push_screen(work, told)

    @on(VirtualTable.Opened)
    def action_restore(self) -> None:
        """Check the one under the cursor, then ask."""
        listed = self._under_cursor()
        if listed is None:
            return
        if not self.shell.register.in_file:
            self.shell.warn("A copy is put into an empty database with `appreg copy FILE postgresql://…`.")
            return
        register, copy = self.shell.register.path, listed.copy.path

        def prepare(progress: Progress) -> PreparedRestore:
            return prepare_restore(register, copy, in_use_here=True, progress=progress)

        self.app.push_screen(LongWorkScreen(f"Checking {copy.name}", prepare), self._prepared)

    def _under_cursor(self) -> ListedCopy | None:
        return self._rows.item(self.table.cursor_key or "")

    def _made(self, done: Done[MadeCopy] | None) -> None:
        if done is None:
            return
        self.load()
        made = done.value
        if made.problems:
            self.shell.warn(problem_words(made))
        else:
            self.shell.say(f"{made.path.name}: {size_words(made.size)}, checked, up to line {made.end.line}.")
        for sentence in made.said:
            self.shell.warn(sentence)

    def _prepared(self, done: Done[PreparedRestore] | None) -> None:
        if done is None:
            return
        prepared = done.value

        def answered(wanted: bool | None) -> None:
            if wanted:
                self.shell.restore_wanted = prepared
                self.shell.exit()
            else:
                prepared.discard()

        self.app.push_screen(RestoreScreen(prepared), answered)


def _key(listed: ListedCopy) -> str:
    return str(listed.copy.path)
