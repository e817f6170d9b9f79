"""Before use: items that an event blocks, and the checks that users make themselves."""

from collections.abc import Iterable
from typing import ClassVar, Final

from msgspec import Struct
from textual import on
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.records.kept_records import Location
from appreg.core.values.counted_words import counted
from appreg.core.values.text import shown
from appreg.core.values.uids import Uid
from appreg.tasks.items.list_blocked import BlockedLine, list_blocked
from appreg.tasks.items.list_user_checks import UserCheckLine, list_user_checks
from appreg.ui.lists.list_screen import ListScreen
from appreg.ui.lists.row_sources import MemoryRows
from appreg.ui.lists.table_columns import FieldColumn, Tone
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.asking.pick_site import site_words
from appreg.ui.shell.commands import Command

BLOCKED: Final = "blocked"
CHECK: Final = "user check"


class EventRow(Struct, frozen=True, kw_only=True):
    """One blocked item, or the user checks of like items at one location."""

    key: str
    state: str
    what: str
    """The item, or how many there are."""
    when: str
    """The event, or how often."""
    site: str
    location: str
    because: str
    appliance: Uid | None = None
    """Of a blocked item."""
    room: Location | None = None
    """Where the users check."""


def blocked_row(line: BlockedLine) -> EventRow:
    """The line of a blocked item."""
    item = line.appliance
    return EventRow(
        key=f"{item.uid} {line.block.kind} {line.block.event}",
        state=BLOCKED,
        what=f"{item.tag} {item.name}",
        when=line.block.event,
        site=line.site.name,
        location=line.location.name,
        because=line.because,
        appliance=item.uid,
    )


def check_row(line: UserCheckLine) -> EventRow:
    """The line of user checks."""
    return EventRow(
        key=f"{line.location.uid} {line.every} {line.because}",
        state=CHECK,
        what=counted(line.items, "item"),
        when=line.every,
        site=line.site.name,
        location=line.location.name,
        because=line.because,
        room=line.location,
    )


def _tone(words: str) -> Tone:
    return Tone.BAD if words == BLOCKED else Tone.PLAIN


_COLUMNS: Final[tuple[FieldColumn[EventRow], ...]] = (
    FieldColumn(key="state", title="state", min_width=10, tone=_tone, text=lambda row: row.state),
    FieldColumn(key="what", title="what", min_width=16, max_width=34, text=lambda row: row.what),
    FieldColumn(key="when", title="when", min_width=14, max_width=28, text=lambda row: row.when),
    FieldColumn(key="site", title="site", min_width=12, max_width=26, text=lambda row: row.site, priority=1),
    FieldColumn(
        key="location", title="location", min_width=12, max_width=24, text=lambda row: row.location, priority=2
    ),
    FieldColumn(key="because", title="because", min_width=20, max_width=60, text=lambda row: row.because, priority=3),
)


class BeforeUseScreen(ListScreen[None]):
    """Blocked items first, then the user checks; nothing here has a date."""

    CSS_PATH = "before_use_screen.tcss"
    TITLE_IN_HELP = "Before use"
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(
            action="open_item",
            key="enter",
            label="open",
            help="Open the page of the blocked item, or the items of the room that users check.",
            at_cursor=True,
        ),
    )

    def __init__(self, *, site: Uid | None = None) -> None:
        super().__init__()
        self._site = site
        self._rows: MemoryRows[EventRow] = MemoryRows(_COLUMNS, (), key=lambda row: row.key)

    def make_list(self) -> VirtualTable:
        """The lines."""
        return VirtualTable(_COLUMNS, empty="no item is blocked, and no user check is asked for")

    def compose_body(self) -> Iterable[Widget]:
        """The lines, the one under the cursor in full."""
        yield from super().compose_body()
        yield Static(id="in-full", markup=False)

    def load(self) -> None:
        """Read what is blocked and what users check."""
        register = self.shell.register
        blocked = [blocked_row(line) for line in list_blocked(register, site=self._site)]
        checks = [check_row(line) for line in list_user_checks(register, site=self._site)]
        self._rows = MemoryRows(_COLUMNS, [*blocked, *checks], key=lambda row: row.key)
        self.pane.show(self._rows)
        self.show_place(f"Before use · {site_words(self, self._site)}", f"{len(blocked)} blocked")

    @on(VirtualTable.Moved)
    @on(VirtualTable.Arranged)
    def _spell_out(self) -> None:
        row = self._rows.item(self.table.cursor_key or "")
        self.query_one("#in-full", Static).update(Content(shown(row.because) if row else ""))

    @on(VirtualTable.Opened)
    def action_open_item(self) -> None:
        """Open the page of the blocked item under the cursor, or the user checks of the room."""
        row = self._rows.item(self.table.cursor_key or "")
        if row is None:
            self.say_no_row()
            return
        if row.room is not None:
            self.shell.open_screen("user_checks", site=row.room.site, location=row.room.uid)
        elif row.appliance is not None:
            self.shell.open_screen("item", appliance=row.appliance)
