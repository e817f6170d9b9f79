"""A field, and beneath it what answers to what is typed there: the keyboard stays in the field."""

from collections.abc import Iterable, Sequence
from typing import TypeVar

from textual import on
from textual.containers import Vertical
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from appreg.ui.shell.command_screen import CommandModal
from appreg.ui.shell.field_help import FieldHelp
from appreg.ui.widgets.plain_input import PlainInput

Returned = TypeVar("Returned")


class SearchModal(CommandModal[Returned]):
    """A subclass gives the field, says what answers in `look_for`, and returns it in `action_choose`."""

    def make_field(self) -> PlainInput:
        """Build the field."""
        return PlainInput()

    def compose_body(self) -> Iterable[Widget]:
        """The field and what answers."""
        with Vertical():
            yield self.make_field()
            yield Static("", id="answer", markup=False)
            yield OptionList(markup=False)

    def field_at_hand(self) -> tuple[str, FieldHelp] | None:
        """What F1 says of the field."""
        return None

    def look_for(self, typed: str) -> None:
        """Show what answers to this."""

    def action_choose(self) -> None:
        """Return what is highlighted."""

    def show_found(self, lines: Sequence[Content]) -> None:
        """Show what answers, the first highlighted."""
        listed = self.query_one(OptionList)
        listed.clear_options()
        listed.add_options([Option(line) for line in lines])
        listed.highlighted = 0 if lines else None

    def say(self, answer: str) -> None:
        """Say something between the field and what answers."""
        self.query_one("#answer", Static).update(Content(answer))

    @property
    def highlighted(self) -> int | None:
        """The place of the line that enter takes; None where there is none."""
        return self.query_one(OptionList).highlighted

    def action_move(self, step: int) -> None:
        """Move the highlight while the keyboard stays in the field."""
        listed = self.query_one(OptionList)
        if step > 0:
            listed.action_cursor_down()
        else:
            listed.action_cursor_up()

    @on(Input.Changed)
    def _narrow(self, event: Input.Changed) -> None:
        self.look_for(event.value)

    @on(Input.Submitted)
    @on(OptionList.OptionSelected)
    def _choose(self) -> None:
        self.action_choose()
