"""What another copy would bring in; nothing is changed before it is said so."""

from collections.abc import Iterable
from pathlib import Path
from typing import ClassVar, Final

from msgspec import Struct
from textual import on
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.values.counted_words import counted
from appreg.core.values.text import shown
from appreg.register.engine.places import Place
from appreg.register.opening.register_file import Register
from appreg.tasks.keeping.describe_merge import alike_words, field_words, merged_lines, values_words
from appreg.tasks.keeping.merge_registers import Merged
from appreg.ui.lists.list_screen import ListScreen
from appreg.ui.lists.row_sources import MemoryRows
from appreg.ui.lists.table_columns import FieldColumn, Tone
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.merging.settle_screen import SettleScreen
from appreg.ui.screens.merging.take_in import take_in
from appreg.ui.shell.commands import Command


class MergeLine(Struct, frozen=True):
    """One line of what would come in."""

    number: int
    what: str
    words: str


_TONES: Final = {
    "still failed": Tone.BAD,
    "contested": Tone.WARN,
    "given twice": Tone.WARN,
    "came back": Tone.WARN,
    "left": Tone.WARN,
}
"""Of what is to be looked at, which is listed first, in this order."""
MERGE_COLUMNS: Final[tuple[FieldColumn[MergeLine], ...]] = (
    FieldColumn(
        key="what",
        title="what",
        min_width=12,
        max_width=22,
        tone=lambda words: _TONES.get(words, Tone.PLAIN),
        text=lambda line: line.what,
    ),
    FieldColumn(key="words", title="which", min_width=30, max_width=200, text=lambda line: line.words),
)


class MergeScreen(ListScreen[None]):
    """What a dry run came to, and the key that takes it in."""

    CSS_PATH = "merge_screen.tcss"
    TITLE_IN_HELP = "Take in another copy"
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(
            action="take_in",
            key="m",
            label="take it in",
            help="Keep a copy of the register as it is, and take in all of this in one change.",
        ),
    )

    def __init__(self, other: Place, merged: Merged) -> None:
        """`merged` is what a trial came to."""
        super().__init__()
        self._other = other
        self._merged = merged
        self._rows: MemoryRows[MergeLine] = MemoryRows(MERGE_COLUMNS, (), key=_key)

    def make_list(self) -> VirtualTable:
        """The lines."""
        return VirtualTable(MERGE_COLUMNS, empty="it holds nothing that is not here already", unit="lines")

    def compose_body(self) -> Iterable[Widget]:
        """What it comes to, line by line, the one under the cursor in full."""
        yield Static(id="sums", markup=False)
        yield from super().compose_body()
        yield Static(id="in-full", markup=False)

    def load(self) -> None:
        """Name the copy and show the lines."""
        self.show_place(f"Take in another copy · {_name(self._other)}", "nothing is changed yet")
        self.query_one("#sums", Static).update(Content(shown(_sums(self._merged))))
        self._rows = MemoryRows(MERGE_COLUMNS, _lines(self.shell.register, self._merged, str(self._other)), key=_key)
        self.pane.show(self._rows)

    def action_take_in(self) -> None:
        """Merge, then show what is to be settled, if anything is."""
        if not self._merged.lines:
            self.shell.say("It holds nothing that is not here already; nothing was changed.")
            return
        take_in(self, self._other, self._taken_in, only_tried=False)

    @on(VirtualTable.Opened)
    @on(VirtualTable.Moved)
    @on(VirtualTable.Arranged)
    def _spell_out(self) -> None:
        line = self._rows.item(self.table.cursor_key or "")
        self.query_one("#in-full", Static).update(Content("" if line is None else shown(f"{line.what}: {line.words}")))

    def _taken_in(self, merged: Merged) -> None:
        shell = self.shell
        shell.say(f"Taken in: {counted(merged.lines, 'line')} of the journal of {_name(self._other)}.")
        for words in merged.failures_kept:
            shell.warn(f"{words}.")
        if merged.contests or merged.twice or merged.alike:
            shell.switch_screen(SettleScreen())
        else:
            shell.pop_screen()


def _name(place: Place) -> str:
    """Both copies bear one name mostly, in folders of different names."""
    return f"{place.parent.name}/{place.name}".lstrip("/") if isinstance(place, Path) else str(place)


def _key(line: MergeLine) -> str:
    return str(line.number)


def _lines(register: Register, merged: Merged, other: str) -> tuple[MergeLine, ...]:
    if not merged.lines:
        return ()
    told = list(merged_lines(merged, other))
    told += [
        (
            "contested",
            f"{field_words(each)} of {each.called}: {' or '.join(values_words(register, each, merged.names))}",
        )
        for each in merged.contests
    ]
    first = [*_TONES]
    told.sort(key=lambda line: first.index(line[0]) if line[0] in first else len(first))
    return tuple(MergeLine(number, what, words) for number, (what, words) in enumerate(told))


def _sums(merged: Merged) -> str:
    parts = [f"{counted(merged.lines, 'line')} of its journal would come in"]
    parts += [f"{len(merged.failures_kept)} still failed"] if merged.failures_kept else []
    parts += [f"{counted(len(merged.contests), 'field')} contested"] if merged.contests else []
    parts += [f"{counted(len(merged.twice), 'record')} given twice"] if merged.twice else []
    parts += [f"{alike_words(merged.alike)} here twice"] if merged.alike else []
    return " · ".join(parts)
