"""The scan box: scan a label, or type a tag or words, and go to the item."""

from typing import ClassVar

from msgspec import Struct
from textual.content import Content
from textual.widgets import Input

from appreg.core.records.stated_words import outcome_words
from appreg.core.values.text import shown
from appreg.core.values.uids import Uid
from appreg.errors import QueryRefused
from appreg.tasks.items.find_items import FoundItem, find_items, location_on_label, said_of_label, tag_on_label
from appreg.ui.lists.filter_help import FILTER_HELP
from appreg.ui.lists.search_modal import SearchModal
from appreg.ui.shell.commands import Command
from appreg.ui.shell.field_help import FieldHelp
from appreg.ui.widgets.plain_input import PlainInput

_MOST = 50
_NOTHING = "nothing answers to that: look at the label, or type its tag or words of its name"


class UnknownTag(Struct, frozen=True):
    """What was scanned or typed where no item answers: a tag that a new one may bear."""

    tag: str


class FindScreen(SearchModal[Uid | UnknownTag]):
    """A field for a reader of codes or for fingers; returns the item's key, or a tag that no item has."""

    CSS_PATH = "find_screen.tcss"
    TITLE_IN_HELP = "Find"
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(action="choose", key="enter", label="go to it", help="Go to the item under the cursor."),
        Command(action="move(1)", key="down", label="next", help="The next item that answers.", priority=True),
        Command(action="move(-1)", key="up", label="before", help="The item before.", in_footer=False, priority=True),
    )

    def __init__(self, typed: str = "", *, place_for_new: str = "") -> None:
        """`typed`: what was scanned already and nothing answered to; `place_for_new`: where a new item may be added."""
        super().__init__()
        self._place_for_new = place_for_new
        self._typed = typed
        self._found: tuple[FoundItem, ...] = ()
        self._refused = ""
        """Why what is typed cannot be understood."""

    def make_field(self) -> PlainInput:
        """A field for a reader of codes or for fingers."""
        return PlainInput(
            self._typed, placeholder="scan a label, or type a tag or words", compact=True, select_on_focus=False
        )

    def field_at_hand(self) -> tuple[str, FieldHelp]:
        """What F1 says of the field."""
        said = f"Scan the code on a label, type a tag (hr7), or what a filter takes. {FILTER_HELP.words}"
        return "label, tag or words", FieldHelp(said, FILTER_HELP.example)

    def load(self) -> None:
        """Name the screen."""
        self.show_place("Find")
        field = self.query_one(Input)
        field.focus()
        self.look_for(field.value)

    def put(self, typed: str) -> None:
        """Look for something that was scanned while the box is open; nothing scanned leaves it as it is."""
        if typed:
            self.query_one(Input).value = typed

    def take_found(self, item: Uid) -> bool:
        """A label that is scanned is what was looked for."""
        self.dismiss(item)
        return True

    def action_choose(self) -> None:
        """Return the item under the cursor; where nothing answers, what may be a new item's tag."""
        self.look_for(self.query_one(Input).value)
        place = self.highlighted
        if place is not None and place < len(self._found):
            self.dismiss(self._found[place].appliance.uid)
        elif (tag := self._new_tag()) is not None:
            self.dismiss(UnknownTag(tag))

    def _new_tag(self) -> str | None:
        return (
            tag_on_label(self.shell.register, self.query_one(Input).value)
            if self._place_for_new and not (self._found or self._refused)
            else None
        )

    def look_for(self, typed: str) -> None:
        """Show what answers so far."""
        shell, within = self.shell, self.shell.settings.due_within_days
        try:
            found = find_items(shell.register, typed, today=shell.today, within_days=within, limit=_MOST)
            self._refused = ""
        except QueryRefused as refusal:
            found, self._refused = (), str(refusal)
        if found and found == self._found:
            return
        self._found = found
        self.show_found([_line(each) for each in found])
        self.say(self._said(typed))

    def _said(self, typed: str) -> str:
        if self._found:
            place = location_on_label(self.shell.register, typed)
            where = f" at {shown(place.name)}" if place is not None else ""
            return f"{'the first ' if len(self._found) == _MOST else ''}{len(self._found)} found{where}"
        if self._refused:
            return shown(self._refused)
        if foreign := said_of_label(self.shell.register, typed):
            return shown(foreign)
        if self._new_tag() is not None:
            return f"nothing answers to that: enter asks whether it is the tag of a new item at {shown(self._place_for_new)}"
        return _NOTHING if typed.strip() else ""


def _line(found: FoundItem) -> Content:
    item = found.appliance
    where = f"{found.site.name}, {found.location.name}"
    return Content.assemble(
        (f"{shown(item.tag):<10} ", "bold $mark"),
        (f"{shown(item.name):<24} ", "bold"),
        (shown(f"{outcome_words(item)} · {item.state} · {where}"), "$quiet"),
    )
