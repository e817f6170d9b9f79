"""A closed question in a form: one line, and every answer in view while it is open."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar, Final

from textual import events
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.geometry import Size
from textual.message import Message
from textual.reactive import reactive
from textual.widget import Widget

from appreg.core.records.list_queries import only_words
from appreg.core.records.searched_rows import SearchedRow, answering
from appreg.core.values.text import shown
from appreg.ui.screens.forms.form_fields import Choice
from appreg.ui.shell.place_line import fitted

_ROWS: Final = 7
"""Answers in view at once."""


class ChoiceField(Widget, can_focus=True):
    """Up and down choose, typing leaves the answers that hold it, enter goes on or makes a new one."""

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
    typed: reactive[str] = reactive("", layout=True)
    """What the answers in view must hold; forgotten where another field has the keyboard."""
    _moved = False
    """An arrow was pressed since: what is typed next begins anew."""

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
        return max(1, min(len(self._in_view), _ROWS)) + bool(self.typed) if self.has_focus else 1

    def render(self) -> Content:
        """The chosen answer, among the others while open."""
        if not self._choices:
            return Content.styled("nothing to choose from yet", "$quiet")
        width = self.content_size.width
        if not self.has_focus:
            return Content(fitted(shown(self._choices[self.place].title), width))
        first, view = self._first_row(), self._in_view
        rows = [self._row(place, self._choices[place], width) for place in view[first : first + _ROWS]]
        return Content("\n").join([*self._said(width), *rows])

    def on_focus(self) -> None:
        """Open."""
        self.refresh(layout=True)

    def on_blur(self) -> None:
        """Close."""
        self.typed = ""
        self.refresh(layout=True)

    def on_key(self, event: events.Key) -> None:
        """Leave the answers that hold what is typed; escape shows all of them again."""
        typed = self._typed_with(event)
        if typed is None:
            return
        event.stop()
        event.prevent_default()
        again = self.typed and typed == self.typed + self.typed[:1] and len({*typed}) == 1
        if again and self._in_view and not self._holding(typed):
            self.action_step(1)
            return
        self._moved, self.typed = False, typed
        found = self._holding(typed) if typed else []
        if found and self.place not in found[:1]:
            self._move_to(found[0])

    def _typed_with(self, event: events.Key) -> str | None:
        """What is typed after a key; None for one that means something else."""
        if event.key in {"escape", "backspace"}:
            left = "" if event.key == "escape" else self.typed[:-1]
            return left if self.typed else None
        character, going_on = event.character, bool(self.typed) and not self._moved
        if character is None or not character.isprintable() or (character.isspace() and not going_on):
            return None
        return (self.typed if going_on else "") + character

    def on_click(self, event: events.Click) -> None:
        """Choose the answer under the pointer."""
        offset = event.get_content_offset(self)
        row = -1 if offset is None else self._first_row() + offset.y - bool(self.typed)
        if self.has_focus and 0 <= row < len(self._in_view):
            self._move_to(self._in_view[row])

    def action_step(self, step: int) -> None:
        """Choose the answer before or after, of those in view."""
        view, self._moved = self._in_view, True
        if view:
            row = view.index(self.place) + step if self.place in view else 0
            self._move_to(view[row % len(view)])

    def action_go_on(self) -> None:
        """Go to the next field; from the answer that is a new one, to its form; from what nothing answers to, nowhere."""
        if self.holds_no_answer:
            return
        wants_new = bool(self._new) and self._choices[self.place] is self._new[0]
        self.post_message(self.Create(self) if wants_new else self.GoOn(self))

    @property
    def holds_no_answer(self) -> bool:
        """Nothing answers to what is typed: what was chosen before is out of sight."""
        return bool(self.typed) and not self._in_view

    def _row(self, place: int, choice: Choice, width: int) -> Content:
        mark, style = ("► ", "bold $mark") if place == self.place else ("  ", "")
        return Content.styled(mark + fitted(shown(choice.title), width - 2), style)

    @property
    def _in_view(self) -> list[int]:
        """The places of the answers that hold what is typed, or of all."""
        return self._holding(self.typed) if self.typed else [*range(len(self._choices))]

    def _holding(self, typed: str) -> list[int]:
        """The places of the answers that hold a text, those first that begin with it."""
        titles = [choice.title for choice in self._choices]
        found = answering(
            range(len(titles)), only_words(typed), lambda place: SearchedRow(texts={"": (titles[place],)})
        )
        return sorted(found, key=lambda place: not titles[place].casefold().startswith(typed.casefold()))

    def _said(self, width: int) -> list[Content]:
        """What is typed, and how many answers hold it."""
        if not self.typed:
            return []
        count = len(self._in_view)
        said = (
            f"“{self.typed}” {count} of {len(self._choices)}"
            if count
            else f"no answer holds “{self.typed}”: esc shows all"
        )
        return [Content.styled(fitted(shown(said), width), "$quiet" if count else "$doubt")]

    def _first_row(self) -> int:
        view = self._in_view
        row = view.index(self.place) if self.place in view else 0
        return max(0, min(row - _ROWS // 2, len(view) - _ROWS))

    def _place_of(self, value: str) -> int:
        known = self._choices[: len(self._choices) - len(self._new)]
        return next((place for place, choice in enumerate(known) if choice.value == value), 0)

    def _move_to(self, place: int) -> None:
        if place != self.place:
            self.place = place
            self.post_message(self.Changed(self, self.value))
