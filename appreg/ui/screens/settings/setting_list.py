"""What the list of settings and the list of keys have in common."""

from collections.abc import Iterable, Sequence
from typing import ClassVar

from textual import on
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.values.text import shown
from appreg.ui.lists.list_screen import ListScreen
from appreg.ui.lists.row_sources import MemoryRows
from appreg.ui.lists.table_columns import FieldColumn
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.settings.setting_lines import SettingLine, in_full


class SettingListScreen(ListScreen[None]):
    """Lines that can be set, the one under the cursor explained below; a subclass says which, and changes them."""

    CSS_PATH = "setting_list.tcss"
    COLUMNS: ClassVar[tuple[FieldColumn[SettingLine], ...]] = ()
    UNIT: ClassVar[str]
    """What the lines are called, many of them."""

    def __init__(self) -> None:
        super().__init__()
        self._rows: MemoryRows[SettingLine] = MemoryRows(self.COLUMNS, (), key=_key)

    def make_list(self) -> VirtualTable:
        """The lines."""
        return VirtualTable(self.COLUMNS, unit=self.UNIT)

    def compose_body(self) -> Iterable[Widget]:
        """The list, the line under the cursor explained."""
        yield from super().compose_body()
        yield Static(id="in-full", markup=False)

    def show_lines(self, lines: Sequence[SettingLine]) -> None:
        """Show the lines as they are set."""
        self._rows = MemoryRows(self.COLUMNS, lines, key=_key)
        self.pane.show(self._rows)

    @property
    def line(self) -> SettingLine | None:
        """The line under the cursor."""
        return self._rows.item(self.table.cursor_key or "")

    def line_or_say(self) -> SettingLine | None:
        """The line under the cursor; where there is none, say why nothing is done."""
        if self.line is None:
            self.say_no_row()
        return self.line

    @on(VirtualTable.Moved)
    @on(VirtualTable.Arranged)
    def _explain(self) -> None:
        self.query_one("#in-full", Static).update(Content("" if self.line is None else shown(in_full(self.line))))


def _key(line: SettingLine) -> str:
    return line.name
