"""One line over the Bench for what the plate says: class, cord, fuse, power and tag."""

from collections.abc import Iterator
from typing import Final

from msgspec import Struct
from textual.containers import Horizontal, Vertical
from textual.widget import Widget
from textual.widgets import Input, Static

from appreg.core.records.appliances import Fact
from appreg.core.records.kept_records import Appliance, Category
from appreg.core.values.text import shown
from appreg.errors import InputRefused
from appreg.tasks.inspecting.item_as_read import item_as_read
from appreg.ui.screens.forms.item_help import WALKED_HELP
from appreg.ui.screens.forms.walked_fields import ghosts_of, walked_fields
from appreg.ui.shell.command_screen import CommandModal
from appreg.ui.shell.commands import Command
from appreg.ui.shell.field_help import FieldHelp
from appreg.ui.widgets.plain_input import PlainInput

_FIELDS: Final = ("class", "cord", "fuse", "power", "tag")
_HINTS: Final = (
    "Read from the item; what is left empty stays as it is. Cord: 1.0 x 3 measured.",
    "Class: 1 metal if some is not earthed, 2 fe with functional earth, 1 - none.",
)


class ItemAsRead(Struct, frozen=True):
    """An item with what was typed of it."""

    item: Appliance
    measured: tuple[Fact, ...] = ()
    """What was measured just now."""


class ItemLineScreen(CommandModal[ItemAsRead]):
    """Returns the item with what was typed, each typed fact read from it or measured; None when left."""

    CSS_PATH = "item_line_screen.tcss"
    TITLE_IN_HELP = "What the plate says"
    DECLARED = (
        Command(
            action="keep", key="enter", label="keep", help="Take what is typed as read from the item.", priority=True
        ),
        Command(action="app.focus_next", key="tab", label="next field", help="Go to the next field."),
        Command(action="back", key="escape", label="leave it", help="Change nothing.", priority=True),
    )

    def __init__(self, item: Appliance, category: Category | None) -> None:
        """Ask about one item; `category` is where its assumed facts come from."""
        super().__init__()
        self._item = item
        self._category = category

    def compose_body(self) -> Iterator[Widget]:
        """Give the fields side by side, what holds now shown in each until something is typed."""
        ghosts = {**ghosts_of(self._item), "tag": self._item.tag}
        with Vertical():
            for hint in _HINTS:
                yield Static(hint, classes="hint", markup=False)
            with Horizontal():
                for name in _FIELDS:
                    yield Static(name, classes="word", markup=False)
                    yield PlainInput(id=name, placeholder=shown(ghosts[name]), compact=True)
            yield Static("", id="refusal", markup=False)

    def take_keys(self) -> None:
        """Give the first field the keys at once, so that nothing typed ahead is lost."""
        self.set_focus(self.query_one("#class", Input))

    def field_help(self) -> tuple[str, FieldHelp] | None:
        """What F1 says of the field that is open."""
        name = (self.focused.id or "") if self.focused else ""
        return (name, WALKED_HELP[name]) if name in _FIELDS else None

    def load(self) -> None:
        """Say which item it is about."""
        self.show_place(f"What the plate says · {self._item.tag} {self._item.name}")

    async def action_keep(self) -> None:
        """Return the item once all that is typed can be read."""
        try:
            self.dismiss(self._as_typed())
        except InputRefused as refusal:
            self.query_one("#refusal", Static).update(shown(str(refusal)))

    def _as_typed(self) -> ItemAsRead:
        typed = {name: self.query_one(f"#{name}", Input).value for name in _FIELDS}
        given = walked_fields({**typed, "type": ""})
        return ItemAsRead(*item_as_read(self._item, self._category, given, tag=typed["tag"]))
