"""Walk-round: one line an item; type what it is, its tag and its category's defaults appear, Enter, next."""

from collections.abc import Iterable
from typing import ClassVar

from textual import on
from textual.widget import Widget

from appreg.core.asset_tags import tag_order
from appreg.core.records import Appliance, Category, Location, Site, Visit
from appreg.core.text import clean
from appreg.core.uids import Uid
from appreg.errors import AppregError
from appreg.register.appliance_lists import appliances_of
from appreg.tasks.add_location import add_location
from appreg.tasks.add_walked_items import add_walked_items, counted, preview_items, suggest_categories
from appreg.tasks.item_fields import WalkedFields
from appreg.ui.command_screen import CommandScreen
from appreg.ui.commands import Command
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.forms.visit_form import VisitForm
from appreg.ui.screens.site_page.site_item_columns import SiteItem
from appreg.ui.screens.walk_round.entry_line import EntryLine
from appreg.ui.screens.walk_round.walked_columns import WALKED_COLUMNS
from appreg.ui.screens.walk_round.walked_fields import walked_fields
from appreg.ui.widgets.row_sources import MemoryRows
from appreg.ui.widgets.virtual_table import VirtualTable


class WalkRoundScreen(CommandScreen[None]):
    """Items of one site, added as fast as they are seen."""

    CSS_PATH = "walk_round_screen.tcss"
    TITLE_IN_HELP = "Walk-round"
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(action="add", key="enter", label="add", help="Add what is typed; a number before it adds that many."),
        Command(
            action="app.focus_next", key="tab", label="next field", help="Go to class, type, cord, fuse and power."
        ),
        Command(action="location", key="ctrl+l", label="location", help="Go on in another location, new or known."),
        Command(action="same", key="ctrl+d", label="same again", help="Add the last line once more."),
        Command(
            action="meaning(1)",
            key="down",
            label="other meaning",
            help="Take the next category that the name may mean.",
            in_footer=False,
            priority=True,
        ),
        Command(
            action="meaning(-1)",
            key="up",
            label="meaning before",
            help="Take the category before.",
            in_footer=False,
            priority=True,
        ),
        Command(
            action="bench", key="ctrl+b", label="Bench", help="Go on to the Bench with today's visit, or a new one."
        ),
        Command(action="back", key="escape", label="done", help="Leave the walk-round; all that was added is kept."),
    )

    def __init__(self, *, site: Uid, location: Uid | None = None) -> None:
        super().__init__()
        self._site = site
        self._location = location
        self._meanings: list[Category] = []
        self._meaning = 0
        self._last: tuple[str, dict[str, str]] | None = None

    def compose_body(self) -> Iterable[Widget]:
        """What was added, and the line that is being typed."""
        yield VirtualTable(WALKED_COLUMNS, empty="nothing here yet: type what you see, enter adds it")
        yield EntryLine()

    @property
    def entry(self) -> EntryLine:
        """The line that is being typed."""
        return self.query_one(EntryLine)

    def on_mount(self) -> None:
        """The list only shows; the keyboard belongs to the line."""
        self.query_one(VirtualTable).can_focus = False
        self.entry.to_name()

    def load(self) -> None:
        """Read the items of the site and stay with the last one."""
        register = self.shell.register
        site = register.get(Site, self._site)
        rooms = {each.uid: each.name for each in register.find(Location, site=site.uid)}
        items = sorted(appliances_of(register, site=site.uid), key=lambda item: tag_order(item.tag))
        if self._location is None:
            newest: Appliance | None = max(items, key=lambda item: item.uid, default=None)
            self._location = newest.location if newest else next(iter(rooms))
        table = self.query_one(VirtualTable)
        table.show(MemoryRows(WALKED_COLUMNS, [SiteItem(each, rooms[each.location]) for each in items], key=_key))
        if items:
            self.call_after_refresh(table.move_to, items[-1].uid)
        place = rooms[self._location]
        self.show_place(f"Walk-round · {site.name} · {place}", f"{len(items)} items so far")
        self.entry.show_location(place)
        self._show_line()

    @on(EntryLine.Typed)
    def _retyped(self) -> None:
        self._meaning = 0
        self.entry.show_refusal("")
        self._show_line()

    @on(EntryLine.Added)
    def action_add(self) -> None:
        """Add the line and make ready for the next; a refused line stays as it was typed."""
        typed, fields = self.entry.name_typed, self.entry.fields_typed
        try:
            overrides = self._overrides()
            added = add_walked_items(
                self.shell.register, self.shell.who, location=self._place(), typed=typed, **overrides
            )
        except AppregError as refusal:
            self.entry.show_refusal(str(refusal))
            return
        if added:
            self._last = (typed, fields)
        self.entry.clear()
        self.load()

    def action_same(self) -> None:
        """Add the last line once more."""
        if self._last is None:
            self.shell.say("Nothing was added yet, so there is nothing to repeat.")
            return
        if not self.entry.is_untouched:
            self.entry.show_refusal("Add or clear this line first; then ^d repeats the last one.")
            return
        self.entry.put_back(*self._last)
        self.call_after_refresh(self.action_add)

    def action_location(self) -> None:
        """Put the keyboard into the location."""
        self.entry.to_location()

    @on(EntryLine.Moved)
    def _go_on_there(self, message: EntryLine.Moved) -> None:
        """Take the location of that name, or the one that begins so; otherwise add it."""
        rooms = self.shell.register.find(Location, site=self._site)
        try:
            name = clean(message.name, field="location")
            wanted = name.casefold()
            found = [each for each in rooms if each.name.casefold() == wanted]
            found = found or [each for each in rooms if wanted and each.name.casefold().startswith(wanted)]
            room = found[0] if found else add_location(self.shell.register, self.shell.who, site=self._site, name=name)
        except AppregError as refusal:
            self.entry.show_refusal(str(refusal))
            return
        self._location = room.uid
        self.entry.show_refusal("")
        self.entry.to_name()
        self.load()

    def action_meaning(self, step: int) -> None:
        """Take another category that the name may mean."""
        if self._meanings:
            self._meaning = (self._meaning + step) % len(self._meanings)
            self._show_line()

    def action_bench(self) -> None:
        """Go to the Bench with today's visit, or start one."""
        visits = self.shell.register.find(Visit, site=self._site, date=self.shell.today)
        if visits:
            self._to_bench(visits[-1])
            return
        site = self.shell.register.get(Site, self._site)
        desk = Desk(self.shell.register, self.shell.who, self.shell.today)
        self.app.push_screen(FormScreen(VisitForm(desk, site)), self._to_bench)

    def _to_bench(self, visit: Visit | None) -> None:
        if visit is not None:
            shell = self.shell
            self.dismiss(None)
            shell.open_bench(visit=visit.uid)

    def _show_line(self) -> None:
        """Show what the line would add as it stands."""
        name = counted(self.entry.name_typed)[1]
        self._meanings = suggest_categories(self.shell.register, name) if name else []
        self.entry.show_meanings(self._meanings, self._meaning)
        try:
            line = preview_items(self.shell.register, self._place(), self.entry.name_typed, **self._overrides())
        except AppregError:
            return  # what is half typed is refused only when it is added
        self.entry.show_line(line)

    def _overrides(self) -> WalkedFields:
        fields = walked_fields(self.entry.fields_typed)
        if self._meaning and self._meaning < len(self._meanings):
            fields["category"] = self._meanings[self._meaning].uid
        return fields

    def _place(self) -> Uid:
        if self._location is None:
            raise LookupError("a walk-round always has a location once it is loaded")
        return self._location


def _key(line: SiteItem) -> str:
    return line.item.uid
