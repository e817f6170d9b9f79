"""The items of the site above the line: the keyboard stays in the line, its arrows move the mark here."""

from collections.abc import Callable, Sequence
from datetime import date
from typing import Any, Final

from msgspec import Struct

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance, Location, Site, Visit
from appreg.core.records.work_records import NotInspected
from appreg.core.values.asset_tags import tag_order
from appreg.core.values.uids import Uid
from appreg.register.lists.appliance_lists import appliances_of
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.read_on import DAMAGED
from appreg.tasks.inspecting.choose_visit import visit_of_day
from appreg.tasks.inspecting.record_not_inspected import not_inspected_on
from appreg.ui.lists.row_sources import MemoryRows
from appreg.ui.lists.table_columns import FieldColumn, tag_column
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.forms.not_inspected_form import NotInspectedForm
from appreg.ui.screens.forms.visit_form import VisitForm
from appreg.ui.screens.forms.walked_fields import ghosts_of
from appreg.ui.shell.command_screen import CommandScreen


class WalkedItem(Struct, frozen=True):
    """An item with the name of its location."""

    item: Appliance
    location: str
    not_inspected: str = ""
    """Why it is not inspected today; empty where nothing is said of it."""

    @property
    def words(self) -> str:
        """What it is, and why it is not inspected."""
        return f"{self.item.name} · {self.not_inspected}" if self.not_inspected else self.item.name


def _ghost(name: str) -> FieldColumn[WalkedItem]:
    widths = {"class": 5, "type": 10, "power": 8, "fuse": 6, "cord": 11}
    return FieldColumn(
        key=name, title=name, min_width=widths[name], text=lambda line: ghosts_of(line.item)[name], priority=2
    )


WALKED_COLUMNS: Final[tuple[FieldColumn[WalkedItem], ...]] = (
    FieldColumn(
        key="location", title="location", min_width=12, max_width=24, text=lambda line: line.location, priority=1
    ),
    tag_column(lambda line: line.item.tag, min_width=8),
    FieldColumn(key="item", title="item", min_width=16, max_width=36, text=lambda line: line.words),
    *(_ghost(name) for name in ("class", "type", "power", "fuse", "cord")),
)


class WalkedList(VirtualTable, can_focus=False):
    """A list whose mark is moved from outside, and known at once although it is drawn later."""

    def __init__(self) -> None:
        super().__init__(WALKED_COLUMNS, empty="nothing here yet: type what you see, enter adds it")
        self._wanted: Uid | None = None
        self._lines: MemoryRows[WalkedItem] = MemoryRows(WALKED_COLUMNS, (), key=_key)

    @property
    def item_count(self) -> int:
        """How many items stand in the list."""
        return len(self._lines)

    def show_items(self, lines: Sequence[WalkedItem], mark: Uid | None) -> None:
        """Show the items with the mark on one of them; None: where it was, at first on the last."""
        is_first = not self.row_count
        self._show(
            MemoryRows(WALKED_COLUMNS, lines, key=_key), mark or (lines[-1].item.uid if lines and is_first else None)
        )

    def show_more(self, lines: Sequence[WalkedItem], mark: Uid | None) -> None:
        """Put items among those that stand there, which takes no longer where there are a thousand."""
        self._show(self._lines.with_items(lines, order=lambda line: tag_order(line.item.tag)), mark)

    def _show(self, lines: MemoryRows[WalkedItem], mark: Uid | None) -> None:
        self._lines = lines
        self.show(lines)
        self._wanted = mark
        if self.size:
            self._go_to_wanted()  # rows and mark in one frame
        else:
            self.call_after_refresh(self._go_to_wanted)

    @property
    def marked(self) -> Uid | None:
        """The item at the mark; None where there is none."""
        self._go_to_wanted()
        return Uid(self.cursor_key) if self.cursor_key is not None else None

    def step(self, by: int) -> None:
        """Move the mark."""
        self._go_to_wanted()
        self.action_move(by)

    def _go_to_wanted(self) -> None:
        wanted, self._wanted = self._wanted, None
        if wanted is not None:
            self.move_to(wanted)


class Walked(Struct, frozen=True):
    """A site as it was read."""

    site: str
    """Its name."""
    rooms: dict[Uid, str]
    """The names of its locations; those added on the walk are put among them."""
    lines: list[WalkedItem]
    """Its items by tag; those added on the walk are in the list alone."""

    def room_name(self, room: Uid) -> str:
        """The name of a location."""
        return self.rooms.get(room, DAMAGED)

    def line_of(self, item: Appliance, not_inspected: str = "") -> WalkedItem:
        """The line of an item."""
        return WalkedItem(item, self.room_name(item.location), not_inspected)

    @property
    def room_to_start_in(self) -> Uid | None:
        """Where the item added last stands, else the first location; None where there is none yet."""
        newest: Appliance | None = max((line.item for line in self.lines), key=lambda item: item.uid, default=None)
        return newest.location if newest and newest.location in self.rooms else next(iter(self.rooms), None)


def read_walk(register: Register, site: Uid, today: date) -> Walked:
    """Read what stands at a site, with why one is not inspected on the visit of the day; what is disposed of is not there."""
    found, visit = register.get(Site, site), visit_of_day(register, site, today)
    left = {each.appliance: each.because.value for each in not_inspected_on(register, visit.uid)} if visit else {}
    walked = Walked(found.name, {each.uid: each.name for each in register.find_readable(Location, site=site)}, [])
    there = (
        each for each in appliances_of(register, site=site, readable=True) if each.state is not ServiceState.DISPOSED
    )
    items = sorted(there, key=lambda item: tag_order(item.tag))
    walked.lines.extend(walked.line_of(each, left.get(each.uid, "")) for each in items)
    return walked


def _key(line: WalkedItem) -> str:
    return line.item.uid


def ask_why_not(
    screen: CommandScreen[Any], site: Uid, items: Sequence[Appliance], then: Callable[[NotInspected | None], None]
) -> None:
    """Ask for the reason on today's visit, or first for what a new visit needs; `then` gets None where it is left."""
    shell = screen.shell
    desk = Desk(shell.register, shell.who, shell.present_day)

    def ask(visit: Visit | None) -> None:
        if visit is None:
            then(None)
        else:
            shell.push_screen(FormScreen(NotInspectedForm(desk, items, visit.uid)), then)

    today = visit_of_day(shell.register, site, shell.today)
    if today is not None:
        ask(today)
    else:
        shell.push_screen(FormScreen(VisitForm(desk, shell.register.get(Site, site))), ask)
