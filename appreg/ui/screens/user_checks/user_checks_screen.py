"""User checks: every item that its users check, room by room, with a fault noted by one key."""

from typing import ClassVar, Final

from msgspec.structs import replace
from textual import on

from appreg.core.records.kept_records import Location
from appreg.core.values.uids import Uid
from appreg.tasks.items.list_user_checks import RoomCheckLine, list_room_checks
from appreg.ui.lists.list_screen import ListScreen
from appreg.ui.lists.row_sources import MemoryRows
from appreg.ui.lists.table_columns import FieldColumn, tag_column
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.asking.pick_site import site_words
from appreg.ui.screens.item.item_actions import ITEM_COMMANDS, ItemActions
from appreg.ui.screens.items.item_list import OPEN_ITEM
from appreg.ui.shell.commands import Command

_COLUMNS: Final[tuple[FieldColumn[RoomCheckLine], ...]] = (
    FieldColumn(key="location", title="location", min_width=12, max_width=24, text=lambda line: line.location.name),
    tag_column(lambda line: line.appliance.tag, min_width=8),
    FieldColumn(key="item", title="item", min_width=16, max_width=34, text=lambda line: line.appliance.name),
    FieldColumn(key="every", title="how often", min_width=20, max_width=28, text=lambda line: line.every),
    FieldColumn(key="site", title="site", min_width=12, max_width=26, priority=1, text=lambda line: line.site.name),
    FieldColumn(key="because", title="because", min_width=18, max_width=60, priority=2, text=lambda line: line.because),
)
_FAULT: Final = "report_fault"
"""What the screen is for, so the key line says it first."""


class UserChecksScreen(ListScreen[None], ItemActions[None]):
    """The items of one room or of all, to go round with; nothing is recorded but a fault."""

    FOLLOWS = True
    TITLE_IN_HELP = "User checks"
    DECLARED: ClassVar[tuple[Command, ...]] = (
        OPEN_ITEM,
        *(replace(each, in_footer=True) for each in ITEM_COMMANDS if each.action == _FAULT),
        *(each for each in ITEM_COMMANDS if each.action != _FAULT),
    )

    def __init__(self, *, site: Uid | None = None, location: Uid | None = None) -> None:
        super().__init__()
        self._site = site
        self._location = location
        self._rows: MemoryRows[RoomCheckLine] = MemoryRows(_COLUMNS, (), key=_key)

    def make_list(self) -> VirtualTable:
        """The items."""
        return VirtualTable(_COLUMNS, empty="no user check is asked for here", unit="items")

    def load(self) -> None:
        """Read the items."""
        register = self.shell.register
        self._rows = MemoryRows(
            _COLUMNS, list_room_checks(register, site=self._site, location=self._location), key=_key
        )
        self.pane.show(self._rows)
        room = f" · {register.get(Location, self._location).name}" if self._location else ""
        self.show_place(f"User checks · {site_words(self, self._site)}{room}")

    def items_to_act_on(self) -> tuple[Uid, ...]:
        """The chosen items, or the one under the cursor."""
        lines = (self._rows.item(key) for key in self.table.keys_to_act_on())
        return tuple(line.appliance.uid for line in lines if line is not None)

    def acted_on(self) -> None:
        """Let go of what was chosen and read anew."""
        self.table.clear_choice()
        self.load()

    @on(VirtualTable.Opened)
    def action_open_item(self) -> None:
        """Open the page of the item under the cursor."""
        line = self._rows.item(self.table.cursor_key or "")
        if line is None:
            self.say_no_row()
        else:
            self.shell.open_screen("item", appliance=line.appliance.uid)


def _key(line: RoomCheckLine) -> str:
    return line.appliance.uid
