"""The line that is being typed: location, tag and name, the category's defaults beneath, and what it may mean."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import ClassVar, Final

from textual import on
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Input, Static

from appreg.core.records.kept_records import Category
from appreg.core.values.text import shown
from appreg.tasks.records.add_walked_items import WalkedLine
from appreg.ui.screens.forms.item_help import WALKED_HELP
from appreg.ui.screens.forms.walked_fields import SHORT_FIELDS, ghosts_of
from appreg.ui.shell.field_help import FieldHelp
from appreg.ui.widgets.plain_input import PlainInput
from appreg.ui.widgets.said import Said

FIELD_TITLES: Final = {"where": "location", "what": "what it is"}
"""What fields are called where their name does not say it."""


class NameInput(PlainInput):
    """The field for what is seen; several pasted lines are several items."""

    @dataclass
    class Pasted(Message):
        """Lines to be added one after another, what was typed already among them."""

        lines: list[str]

    def take_pasted(self, text: str) -> None:
        """Take one line as typed, and hand on several as if Enter had been pressed behind each."""
        if len(text.splitlines()) <= 1 and not text.endswith(("\r", "\n")):
            super().take_pasted(text)
            return
        start, end = sorted(self.selection)
        lines = f"{self.value[:start]}{text}{self.value[end:]}".splitlines()
        self.post_message(self.Pasted([line.strip() for line in lines if line.strip()]))


class EntryLine(Vertical):
    """Posts what is typed; the screen says what it would add."""

    DEFAULT_CSS: ClassVar[str] = """
    EntryLine {
        height: auto; padding: 0 1;
        & Horizontal { height: 1; }
        & .word { width: auto; color: $quiet; padding: 0 1 0 0; }
        & #tag { width: 12; margin: 0 1 0 0; }
        & #where { width: 20; margin: 0 1 0 0; }
        & #what { width: 1fr; }
        & .short { margin: 0 1 0 0; }
        & #meanings { height: 1; text-wrap: nowrap; text-overflow: ellipsis; }
        & #refusal { height: auto; color: $fail; }
    }
    """

    @dataclass
    class Typed(Message):
        """Something was typed in the name or one of the fields."""

        def can_replace(self, message: Message) -> bool:
            """Of several in a row the last is enough: it is about what stands there then."""
            return isinstance(message, type(self))

    @dataclass
    class Tagged(Message):
        """Something was typed in the tag."""

    @dataclass
    class Added(Message):
        """Enter: add what stands there."""

    @dataclass
    class Moved(Message):
        """Enter in the location: go on there."""

        name: str

    def compose(self) -> Iterator[Widget]:
        """One line for where and what, one for the fields, one for what it may mean."""
        with Horizontal():
            yield PlainInput(id="where", compact=True)
            yield PlainInput(id="tag", compact=True)
            yield NameInput(id="what", placeholder="what is it? e.g. kettle · 4 desk lamp · a short code", compact=True)
        with Horizontal():
            for field in SHORT_FIELDS:
                yield Static(field.label, classes="word", markup=False)
                editor = PlainInput(id=field.name, classes="short", compact=True)
                editor.styles.width = field.width
                yield editor
        yield Static(id="meanings", markup=False)
        yield Said(id="refusal", grows=True)

    @property
    def name_typed(self) -> str:
        """What is typed as the name."""
        return self._input("what").value

    @property
    def fields_typed(self) -> dict[str, str]:
        """What is typed in each of the fields."""
        return {field.name: self._input(field.name).value for field in SHORT_FIELDS}

    @property
    def tag_typed(self) -> str:
        """The tag that the item bears already; empty: it gets the next number."""
        return self._input("tag").value.strip()

    @property
    def is_untouched(self) -> bool:
        """Tell whether nothing is typed that could be lost."""
        return not (self.name_typed.strip() or self.tag_typed or any(self.fields_typed.values()))

    def field_at_hand(self) -> tuple[str, FieldHelp] | None:
        """What F1 says of the field that has the keyboard."""
        name = next((each.id or "" for each in self.query(Input) if each.has_focus), "")
        return (FIELD_TITLES.get(name, name), WALKED_HELP[name]) if name else None

    def show_location(self, name: str) -> None:
        """Put the location's name into its field."""
        self._input("where").value = shown(name)

    def show_line(self, line: WalkedLine | None) -> None:
        """Show the tag and the defaults that the line would get."""
        tags = line.tags if line else ()
        tag = "" if not tags else tags[0] if len(tags) == 1 else f"{tags[0]}…"
        self._input("tag").placeholder = shown(tag)
        for name, ghost in ghosts_of(line.like if line else None).items():
            self._input(name).placeholder = shown(ghost)

    def show_meanings(self, meanings: Sequence[Category], chosen: int) -> None:
        """Show the categories that the name may mean, the one taken marked."""
        parts = [
            Content.styled(
                f"{'►' if place == chosen else ' '}{shown(each.name)}", "$ink" if place == chosen else "$quiet"
            )
            for place, each in enumerate(meanings)
        ]
        none = Content.styled("no category: class not known, portable; tab sets what the plate says", "$doubt")
        if parts:
            last = chosen == len(meanings)
            parts.append(Content.styled(f"{'►' if last else ' '}none of these", "$ink" if last else "$quiet"))
        said = Content(" ·").join(parts) if parts else none if self.name_typed.strip() else Content("")
        self.query_one("#meanings", Static).update(said, layout=False)

    def show_refusal(self, sentence: str) -> None:
        """Say why a line was not added; what is typed stays."""
        self.query_one("#refusal", Said).say(f"! {sentence}" if sentence else "")

    def clear(self) -> None:
        """Make ready for the next item."""
        self.put_back("", {"tag": "", **{field.name: "" for field in SHORT_FIELDS}})
        self.show_refusal("")
        self.to_name()

    def put_back(self, name: str, fields: dict[str, str]) -> None:
        """Put a line into its fields, without a word that something was typed."""
        for field, text in {"what": name, **fields}.items():
            with self._input(field).prevent(Input.Changed):
                self._input(field).value = text
                self._input(field).cursor_position = len(text)

    def put_tag(self, tag: str) -> None:
        """Put a scanned tag into its field, and the keyboard into the name."""
        self._input("tag").value = tag
        self.to_name()

    def to_name(self) -> None:
        """Put the keyboard into the name."""
        self._input("what").focus()

    def to_field(self, name: str) -> None:
        """Put the keyboard into one of the fields."""
        self._input(name).focus()

    def to_location(self) -> None:
        """Put the keyboard into the location, its name selected."""
        where = self._input("where")
        where.focus()
        where.select_all()

    def _input(self, name: str) -> Input:
        return self.query_one(f"#{name}", Input)

    @on(Input.Changed)
    def _typed(self, event: Input.Changed) -> None:
        event.stop()
        if event.input.id == "tag":
            self.post_message(self.Tagged())
        elif event.input.id != "where":
            self.post_message(self.Typed())

    @on(Input.Submitted)
    def _submitted(self, event: Input.Submitted) -> None:
        event.stop()
        if event.input.id == "tag" and not self.name_typed.strip():
            self.to_name()  # a label is often scanned before its item is named
        else:
            self.post_message(self.Moved(event.value) if event.input.id == "where" else self.Added())
