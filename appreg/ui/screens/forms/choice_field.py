"""A closed question in a form: one line, and every answer in view while it is open."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.geometry import Size
from textual.message import Message
from textual.reactive import reactive
from textual.widget import Widget

from appreg.core.values.text import shown
from appreg.ui.screens.forms.form_fields import Choice
from appreg.ui.shell.place_line import fitted

_ROWS = 7


class ChoiceField(Widget, can_focus=True):
    """Up and down choose, a letter jumps to an answer that begins with it, enter goes on or makes a new one."""

    DEFAULT_CSS: ClassVar[str] = """
    ChoiceField { height: auto; width: 1fr; color: $ink; background: $field; }
    ChoiceField:focus { background: $chosen; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("down,right,space", "step(1)", "next answer", show=False),
        Binding("up,left", "step(-1)", "answer before", show=False),
        Binding("enter", "go_on", "next field", show=False),
    ]

    place: reactive[int] = reactive(0, layout=True)

    @dataclass
    class Changed(Message):
        """Another answer was chosen."""

        field: "ChoiceField"
        value: str

        @property
        def control(self) -> "ChoiceField":
            """The field, for handlers that select by it."""
            return self.field

    @dataclass
    class GoOn(Message):
        """The person is done with this field."""

        field: "ChoiceField"

    @dataclass
    class Create(Message):
        """The answer that is none of those there: a new one."""

        field: "ChoiceField"

    def __init__(
        self,
        choices: Sequence[Choice],
        *,
        value: str,
        id: str,  # noqa: A002 - Textual's own word
        creates: str = "",
    ) -> None:
        """`creates`: what can be made anew, as the last answer; empty: nothing."""
        super().__init__(id=id)
        self._new: tuple[Choice, ...] = (Choice("", f"+ a new {creates}"),) if creates else ()
        self._choices = (*choices, *self._new)
        self.set_reactive(ChoiceField.place, self._place_of(value))

    @property
    def value(self) -> str:
        """The chosen answer's value; empty where there is nothing to choose."""
        return self._choices[self.place].value if self._choices else ""

    def offer(self, choices: Sequence[Choice], value: str) -> None:
        """Offer other answers; keep the value where it is still among them."""
        self._choices = (*choices, *self._new)
        self.set_reactive(ChoiceField.place, self._place_of(value))
        self.refresh(layout=True)

    def choose(self, value: str) -> None:
        """Choose an answer and tell the form."""
        self._move_to(self._place_of(value))

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:  # noqa: ARG002 - Textual's own
        """One line, or as many as there are answers while the field is open."""
        return max(1, min(len(self._choices), _ROWS)) if self.has_focus else 1

    def render(self) -> Content:
        """The chosen answer, among the others while open."""
        if not self._choices:
            return Content.styled("nothing to choose from yet", "$quiet")
        width = self.content_size.width
        if not self.has_focus:
            return Content(fitted(shown(self._choices[self.place].title), width))
        first = self._first_row()
        rows = enumerate(self._choices[first : first + _ROWS], first)
        return Content("\n").join(self._row(place, choice, width) for place, choice in rows)

    def on_focus(self) -> None:
        """Open."""
        self.refresh(layout=True)

    def on_blur(self) -> None:
        """Close."""
        self.refresh(layout=True)

    def on_key(self, event: events.Key) -> None:
        """A letter or figure jumps to the next answer that begins with it."""
        if event.character is None or not event.character.isalnum():
            return
        event.stop()
        letter = event.character.casefold()
        places = [*range(self.place + 1, len(self._choices)), *range(self.place + 1)]
        found = [place for place in places if self._choices[place].title.casefold().startswith(letter)]
        if found:
            self._move_to(found[0])

    def on_click(self, event: events.Click) -> None:
        """Choose the answer under the pointer."""
        offset = event.get_content_offset(self)
        if offset is not None and self.has_focus and self._first_row() + offset.y < len(self._choices):
            self._move_to(self._first_row() + offset.y)

    def action_step(self, step: int) -> None:
        """Choose the answer before or after."""
        if self._choices:
            self._move_to((self.place + step) % len(self._choices))

    def action_go_on(self) -> None:
        """Go to the next field; from the answer that is a new one, to its form."""
        wants_new = bool(self._new) and self._choices[self.place] is self._new[0]
        self.post_message(self.Create(self) if wants_new else self.GoOn(self))

    def _row(self, place: int, choice: Choice, width: int) -> Content:
        mark, style = ("► ", "bold $mark") if place == self.place else ("  ", "")
        return Content.styled(mark + fitted(shown(choice.title), width - 2), style)

    def _first_row(self) -> int:
        return max(0, min(self.place - _ROWS // 2, len(self._choices) - _ROWS))

    def _place_of(self, value: str) -> int:
        known = self._choices[: len(self._choices) - len(self._new)]
        return next((place for place, choice in enumerate(known) if choice.value == value), 0)

    def _move_to(self, place: int) -> None:
        if place != self.place:
            self.place = place
            self.post_message(self.Changed(self, self.value))
