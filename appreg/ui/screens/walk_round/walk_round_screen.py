"""Walk-round: one line an item; type what it is, its tag and its category's defaults appear, Enter, next."""

from collections import deque
from collections.abc import Iterable
from itertools import chain
from typing import Final

from textual import on
from textual.widget import Widget

from appreg.core.records.kept_records import Appliance, Category, Location, Site
from appreg.core.records.work_records import NotInspected
from appreg.core.values.text import clean
from appreg.core.values.uids import Uid
from appreg.errors import AppregError
from appreg.tasks.inspecting.choose_visit import first_to_inspect
from appreg.tasks.records.add_location import add_location
from appreg.tasks.records.add_walked_items import add_walked_items, counted, preview_items, take_back_items
from appreg.tasks.records.next_tags import know_tags
from appreg.ui.screens.forms.appliance_form import ApplianceForm
from appreg.ui.screens.forms.category_form import CategoryForm
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.walk_round.entry_line import EntryLine, NameInput
from appreg.ui.screens.walk_round.pasted_lines import ask_before_many, waiting_words
from appreg.ui.screens.walk_round.walk_round_commands import WALK_ROUND_COMMANDS
from appreg.ui.screens.walk_round.walked_list import Walked, WalkedList, ask_why_not, read_walk
from appreg.ui.screens.walk_round.word_asking import WordAsking
from appreg.ui.shell.command_screen import CommandScreen
from appreg.ui.shell.key_words import key_of

_CLEAR_FIRST: Final = f"Add or clear this line first; then {key_of('walk_round.same', 'shift ↓')} repeats the last one."


class WalkRoundScreen(CommandScreen[bool | Uid]):
    """Items of one site, added as fast as they are seen; returns whether the Bench is next, or with which item."""

    CSS_PATH = "walk_round_screen.tcss"
    TITLE_IN_HELP = "Walk-round"
    DECLARED = WALK_ROUND_COMMANDS

    def __init__(self, *, site: Uid, location: Uid | None = None, tag: str = "") -> None:
        """Open at a site; `tag`: what the first item bears already."""
        super().__init__()
        self._site = site
        self._location = location
        self._tag = tag
        self._asking = WordAsking(self)
        self._last: tuple[str, dict[str, str]] | None = None
        """What was typed for the line added last, and beside it."""
        self._to_come: deque[str] = deque()
        """Pasted lines that are not added yet."""
        self._added: list[tuple[Appliance, ...]] = []
        """The items of each line added."""
        self._to_mark: Uid | None = None
        self._walk = Walked("", {}, [])
        self._warned = False

    def compose_body(self) -> Iterable[Widget]:
        """What was added, and the line that is being typed."""
        yield WalkedList()
        yield EntryLine()

    @property
    def entry(self) -> EntryLine:
        """The line that is being typed."""
        return self.query_one(EntryLine)

    def on_mount(self) -> None:
        """Begin in the line, with the tag that was scanned before."""
        self.entry.put_tag(self._tag)

    def load(self) -> None:
        """Read the items of the site and mark the one added last."""
        know_tags(self.shell.register)
        self.call_next(self._read_all)

    async def _read_all(self) -> None:
        if await self._read():
            self._location = self._location or self._walk.room_to_start_in
            self.query_one(WalkedList).show_items(self._walk.lines, self._to_mark)
            self._show_where()

    def others_saved(self) -> None:
        """Read the list again, and leave the line as it is typed."""
        self.call_next(self._read_again)

    async def _read_again(self) -> None:
        if await self._read():
            self.query_one(WalkedList).show_items(self._walk.lines, None)

    async def _read(self) -> bool:
        site, today = self._site, self.shell.today
        walk = await self.read_beside(lambda own: read_walk(own, site, today))
        self._walk = walk or self._walk
        return walk is not None

    def _show_added(self, items: Iterable[Appliance]) -> None:
        """Put new items into the list, and mark the one added last."""
        self.query_one(WalkedList).show_more([self._walk.line_of(each) for each in items], self._to_mark)
        self._show_where()

    def _show_where(self) -> None:
        """Say where the person stands and how many items there are, and begin a line there."""
        self._to_mark = None
        room = self._walk.room_name(self._location) if self._location else ""
        count = self.query_one(WalkedList).item_count
        self.show_place(f"Walk-round · {self._walk.site} · {room or 'no location yet'}", f"{count} items so far")
        self.entry.show_location(room)
        if self._location is None:
            self.entry.show_refusal("Where are you? Type the first room or area, then enter.")
            self.entry.to_location()
        self.show_line()

    @on(EntryLine.Typed)
    @on(EntryLine.Tagged)
    def _retyped(self) -> None:
        self._warned = False
        self.entry.show_refusal("")
        self.show_line()

    @on(EntryLine.Added)
    def action_add(self) -> None:
        """Add the line, and those pasted behind it, and make ready for the next; a refused line stays as it was typed."""
        before = len(self._added)
        goes_on = self._add_line()
        while goes_on and self._to_come:
            self.entry.put_back(self._to_come.popleft(), {})
            goes_on = self._add_line()
        if len(self._added) > before:
            self._show_added(chain.from_iterable(self._added[before:]))
        if self._to_come:
            self.shell.warn(f"{waiting_words(self._to_come)} until this one is added.")

    @on(NameInput.Pasted)
    def _pasted(self, message: NameInput.Pasted) -> None:
        ask_before_many(self, message.lines, lambda: self._add_lines(message.lines))

    def _add_lines(self, lines: list[str]) -> None:
        self._to_come.extend(lines)
        if self._to_come:
            self.entry.put_back(self._to_come.popleft(), {})
            self.action_add()

    def _add_line(self) -> bool:
        """Add the line as it stands; False where it is refused, or something is asked first."""
        self.show_line()
        typed, fields = self.entry.name_typed, self.entry.fields_typed
        if self._location is None:
            self.entry.show_refusal("Where is it? Type the room or area first, then enter.")
            self.entry.to_location()
            return False
        if self._asking.asks():
            return False
        try:
            overrides = self._asking.overrides()
            added = add_walked_items(
                self.shell.register, self.shell.who, location=self._location, typed=typed, **overrides
            )
        except AppregError as refusal:
            self.entry.show_refusal(str(refusal))
            return False
        self._last = (typed, fields)
        self._asking.added(fields)
        self._added.append(added)
        self._to_mark = added[-1].uid
        self._start_line()
        return True

    def _start_line(self) -> None:
        self._asking.forget()
        self._warned = False
        self.entry.clear()

    def action_same(self) -> None:
        """Add the last line once more."""
        if self._last is None:
            self.shell.say("Nothing was added yet, so there is nothing to repeat.")
            return
        if self.entry.name_typed.strip() or any(self.entry.fields_typed.values()):
            self.entry.show_refusal(self.shell.in_present_keys(_CLEAR_FIRST))
            return
        self.entry.put_back(*self._last)
        self.action_add()

    def place_for_new(self) -> str:
        """A new item is added at the site walked."""
        return self.shell.register.get(Site, self._site).name

    def take_new(self, tag: str) -> None:
        """Put the tag into the line; what is typed there stays."""
        self.entry.put_tag(tag)

    def take_location(self, location: Uid) -> bool:
        """Go on at the location whose label was scanned, where it is one of the site walked."""
        room = self.shell.register.get(Location, location)
        if room.site != self._site:
            return False
        self._go_on_at(room)
        return True

    def action_own_tag(self) -> None:
        """Put the keyboard into the tag."""
        self.entry.to_field("tag")

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
        self._go_on_at(room)

    def _go_on_at(self, room: Location) -> None:
        self._location = room.uid
        self._walk.rooms[room.uid] = room.name
        self.entry.show_refusal("")
        self.entry.to_name()
        self._show_where()

    def action_meaning(self, step: int) -> None:
        """Take another category that the name may mean; with no name typed, move the mark in the list."""
        if self.entry.name_typed.strip():
            self._asking.step(step)
        else:
            self.query_one(WalkedList).step(step)

    def action_save(self) -> None:
        """Let the category taken answer to the name typed, or typed last, from now on."""
        self._asking.keep()

    def action_bench(self) -> None:
        """Go on to the Bench."""
        self._leave(to_bench=True)

    def action_test_now(self) -> None:
        """Add the line, or take the item at the mark, and open it on the Bench; a line that asks first stays."""
        items = self._items_at_hand()
        if items and self.entry.is_untouched:
            self.dismiss(items[-1].uid)
        elif items:
            self.entry.show_refusal(f"{items[-1].tag} waits on the list: add or clear this line first.")

    def action_leave_out(self) -> None:
        """Add the line, or take the item at the mark, and ask why it is not inspected."""
        is_new = not self.entry.is_untouched
        items = self._items_at_hand()
        if not items:
            return
        named = items[0].tag if len(items) == 1 else f"{items[0].tag} to {items[-1].tag}"

        def asked(kept: NotInspected | None) -> None:
            if kept is None and is_new:
                self.entry.show_refusal(f"{named} is on the list, to be inspected: no reason against it is kept.")

        ask_why_not(self, self._site, items, asked)

    def _items_at_hand(self) -> tuple[Appliance, ...]:
        """The items of the line, once it is added, or the one at the mark; none where that is refused or asked first."""
        if not self.entry.is_untouched:
            if not self._add_line():
                return ()
            if self._to_come:
                self.entry.put_back(self._to_come.popleft(), {})
            self._show_added(self._added[-1])
            return self._added[-1]
        marked = self.query_one(WalkedList).marked
        if marked is None:
            self.entry.show_refusal("Nothing is on the list yet: type what you see, then the same key again.")
            return ()
        return (self.shell.register.get(Appliance, marked),)

    def action_back(self) -> None:
        """Leave; once something was added, the Bench is next."""
        self._leave(to_bench=self._last is not None)

    def action_take_back(self) -> None:
        """Take back the items of the line added last."""
        if not self._added:
            self.shell.say("Nothing was added on this walk-round, so there is nothing to take back.")
            return
        try:
            take_back_items(self.shell.register, self.shell.who, self._added[-1][-1])
        except AppregError as refusal:
            self.entry.show_refusal(str(refusal))
            return
        self._added.pop()
        self._to_mark = self._added[-1][-1].uid if self._added else None
        self.load()

    def action_change(self) -> None:
        """Open the form of the item at the mark, with all its fields."""
        marked = self.query_one(WalkedList).marked
        if marked is None:
            self.entry.show_refusal("Nothing is on the list yet: type what you see, enter adds it.")
            return
        register = self.shell.register
        form = ApplianceForm(self._desk, register.get(Site, self._site), register.get(Appliance, marked))
        self.app.push_screen(FormScreen(form))

    def action_category(self) -> None:
        """Make a category of the name typed, with its defaults."""
        name = counted(self.entry.name_typed)[1]

        def made(category: Category | None) -> None:
            if category is not None and name:
                self._asking.choose(category.uid)

        self.app.push_screen(FormScreen(CategoryForm(self._desk, name=name)), made)

    @property
    def _desk(self) -> Desk:
        return Desk(self.shell.register, self.shell.who, self.shell.present_day)

    def _leave(self, *, to_bench: bool) -> None:
        if (not self.entry.is_untouched or self._to_come) and not self._warned:
            self._warned = True
            more = f" {waiting_words(self._to_come)} behind it." if self._to_come else ""
            self.entry.show_refusal(
                f"This line is not added yet: enter adds it, the same key again leaves it out.{more}"
            )
            return
        self.dismiss((self._first_added() or to_bench) if to_bench else False)

    def _first_added(self) -> Uid | None:
        """The first item added here that is to be inspected: the Bench opens at it."""
        added = (item.uid for line in self._added for item in line)
        return first_to_inspect(self.shell.register, added, site=self._site, today=self.shell.today)

    def keep_typed(self) -> str:
        """A line that is not added yet has no place; say what stood there."""
        here = (self.entry.tag_typed, self.entry.name_typed.strip(), *self.entry.fields_typed.values())
        left = [line for line in (" ".join(part for part in here if part), *self._to_come) if line]
        return f"Walk-round: not added: {', '.join(f'“{line}”' for line in left)}." if left else ""

    def show_line(self) -> None:
        """Show what the line would add as it stands."""
        self._asking.look()
        if self._location is None:
            self.entry.show_line(None)
            return
        try:
            line = preview_items(self.shell.register, self._location, self.entry.name_typed, **self._asking.overrides())
        except AppregError:
            return  # what is half typed is refused only when it is added
        self.entry.show_line(line)
