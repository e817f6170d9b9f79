"""Kept copies: the list of them, one made now, one checked, one put in the register's place."""

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import ClassVar, Final

from msgspec import Struct
from textual import on
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.values.text import shown
from appreg.progress import Progress
from appreg.tasks.desk.list_copies import (
    KeptCopy,
    copies_folder,
    kind_words,
    list_copies,
    second_copies_folder,
    stamp_words,
)
from appreg.tasks.keeping.keep_copy import MadeCopy, keep_copy, problem_words
from appreg.tasks.keeping.restore_copy import PreparedRestore, checked_copy_words, lacking_sentences, prepare_restore
from appreg.ui.lists.list_screen import ListScreen
from appreg.ui.lists.row_sources import MemoryRows
from appreg.ui.lists.table_columns import FieldColumn, Tone
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.long_work.long_work_screen import Done, LongWorkScreen
from appreg.ui.shell.command_screen import CommandModal
from appreg.ui.shell.commands import Command

_MEGABYTE: Final = 1_000_000
"""Bytes."""


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


class ListedCopy(Struct, frozen=True):
    """A copy and where it stands."""

    copy: KeptCopy
    where: str


def size_words(size: int) -> str:
    """A file's bytes in megabytes."""
    return f"{size / _MEGABYTE:.1f} MB"


def _tone(kind: str) -> Tone:
    return Tone.BAD if kind == "not sound" else Tone.PLAIN


COPY_COLUMNS: Final[tuple[FieldColumn[ListedCopy], ...]] = (
    FieldColumn(
        key="made",
        title="made",
        min_width=20,
        text=lambda each: stamp_words(each.copy.name.made),
        order=lambda each: each.copy.name.made,
    ),
    FieldColumn(
        key="line",
        title="line",
        min_width=6,
        max_width=9,
        number=True,
        text=lambda each: str(each.copy.name.line or ""),
        order=lambda each: each.copy.name.line,
    ),
    FieldColumn(
        key="size",
        title="size",
        min_width=8,
        number=True,
        text=lambda each: size_words(each.copy.size),
        order=lambda each: each.copy.size,
    ),
    FieldColumn(
        key="kind", title="what it is", min_width=23, max_width=24, tone=_tone, text=lambda each: kind_words(each.copy)
    ),
    FieldColumn(key="where", title="where", min_width=13, max_width=22, text=lambda each: each.where, priority=1),
    FieldColumn(
        key="file", title="file", min_width=24, max_width=60, text=lambda each: each.copy.path.name, priority=2
    ),
)


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
            at_cursor=True,
        ),
        Command(
            action="check",
            key="v",
            label="check",
            help="Check the copy under the cursor from end to end.",
            at_cursor=True,
        ),
    )

    def __init__(self) -> None:
        super().__init__()
        self._rows: MemoryRows[ListedCopy] = MemoryRows(COPY_COLUMNS, (), key=_key)

    def make_list(self) -> VirtualTable:
        """The copies."""
        return VirtualTable(COPY_COLUMNS, empty="no copy is kept yet", unit="copies")

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
            self.say_no_row()
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
            self.say_no_row()
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
