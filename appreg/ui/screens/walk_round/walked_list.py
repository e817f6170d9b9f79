"""The items of the site above the line: the keyboard stays in the line, its arrows move the mark here."""

from collections.abc import Sequence

from appreg.core.asset_tags import tag_order
from appreg.core.records import Appliance, Location, Site
from appreg.core.uids import Uid
from appreg.register.appliance_lists import appliances_of
from appreg.register.register_file import Register
from appreg.tasks.read_on import DAMAGED
from appreg.tasks.record_not_inspected import not_inspected_on
from appreg.ui.screens.walk_round.walked_columns import WALKED_COLUMNS, WalkedItem
from appreg.ui.widgets.row_sources import MemoryRows
from appreg.ui.widgets.virtual_table import VirtualTable


class WalkedList(VirtualTable, can_focus=False):
    """A list whose mark is moved from outside, and known at once although it is drawn later."""

    def __init__(self) -> None:
        super().__init__(WALKED_COLUMNS, empty="nothing here yet: type what you see, enter adds it")
        self._wanted: Uid | None = None

    def show_items(self, lines: Sequence[WalkedItem], mark: Uid | None) -> None:
        """Show the items with the mark on one of them; None: where it was, at first on the last."""
        is_first = not self.row_count
        self.show(MemoryRows(WALKED_COLUMNS, lines, key=_key))
        self._wanted = mark or (lines[-1].item.uid if lines and is_first else None)
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


def walked_items(register: Register, site: Site, rooms: dict[Uid, str], visit: Uid | None) -> list[WalkedItem]:
    """The items of a site by tag, with why one is not inspected on the visit of the day."""
    left = {each.appliance: each.because.value for each in not_inspected_on(register, visit)} if visit else {}
    items = sorted(appliances_of(register, site=site.uid, readable=True), key=lambda item: tag_order(item.tag))
    return [WalkedItem(each, rooms.get(each.location, DAMAGED), left.get(each.uid, "")) for each in items]


def rooms_of(register: Register, site: Site) -> dict[Uid, str]:
    """The names of a site's locations."""
    return {each.uid: each.name for each in register.find_readable(Location, site=site.uid)}


def room_to_start_in(lines: Sequence[WalkedItem], rooms: dict[Uid, str]) -> Uid | None:
    """Where the item added last stands, else the first location; None where there is none yet."""
    newest: Appliance | None = max((line.item for line in lines), key=lambda item: item.uid, default=None)
    return newest.location if newest and newest.location in rooms else next(iter(rooms), None)


def _key(line: WalkedItem) -> str:
    return line.item.uid
