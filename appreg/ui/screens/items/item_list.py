"""What a list of items of the register does, whichever of them it shows."""

from typing import Final

from textual import on

from appreg.core.values.uids import Uid
from appreg.register.lists.row_windows import RowFilter
from appreg.ui.lists.list_screen import ListScreen
from appreg.ui.lists.register_rows import RegisterRows
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.item.item_actions import ItemActions
from appreg.ui.shell.commands import Command

OPEN_ITEM: Final = Command(
    action="open_item", key="enter", label="item", help="Open the page of the item under the cursor.", at_cursor=True
)


class ItemListScreen(ListScreen[None], ItemActions[None]):
    """Opens the item under the cursor and acts on those that are chosen; a subclass says which items it shows."""

    DATED = True
    FOLLOWS = True
    _rows: RegisterRows | None = None

    def rows_of(self, kept: RowFilter) -> RegisterRows:
        """The items to show, as the day and the settings stand."""
        shell = self.shell
        return RegisterRows(shell.register, kept, today=shell.today, within_days=shell.settings.due_within_days)

    def items_to_act_on(self) -> tuple[Uid, ...]:
        """The chosen items."""
        return () if self._rows is None else self._rows.items(self.table.keys_to_act_on())

    def acted_on(self) -> None:
        """Let go of what was chosen and read anew."""
        self.table.clear_choice()
        self.load()

    def action_open_item(self) -> None:
        """Open the page of the item under the cursor."""
        if self.table.cursor_key is None:
            self.say_no_row()
        elif self._rows is not None:
            for item in self._rows.items([self.table.cursor_key]):
                self.shell.open_screen("item", appliance=item)

    @on(VirtualTable.Opened)
    def _opened(self) -> None:
        self.action_open_item()
