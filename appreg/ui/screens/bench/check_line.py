"""One line of the bench: title, field, limit, gauge, verdict word, and the arithmetic beneath."""

from typing import ClassVar, Final

from textual import events
from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.message import Message
from textual.reactive import reactive
from textual.widget import Widget
from textual.widgets import Input
from textual.widgets.input import Selection

from appreg.core.records.checks import Check
from appreg.ui.screens.bench.bench_entries import LineId
from appreg.ui.screens.bench.bench_lines import LineShape
from appreg.ui.screens.bench.bench_view import LineView, Tone
from appreg.ui.screens.bench.line_help import help_of_line
from appreg.ui.screens.bench.seen_list import SeenList
from appreg.ui.shell.field_help import FieldHelp
from appreg.ui.widgets.gauge import Gauge
from appreg.ui.widgets.plain_input import PlainInput
from appreg.ui.widgets.said import Said

_STYLES: Final = {Tone.PASS: "$pass", Tone.FAIL: "bold $fail", Tone.DOUBT: "$doubt", Tone.QUIET: "$quiet"}


class ReadingField(PlainInput):
    """A field for what the instrument shows; leaves the bench's own keys to the bench."""

    left_alone: frozenset[str] = frozenset()
    """Keys that are commands on this line, by Textual's names: no instrument shows such a character."""
    replaced: str = ""
    """The reading that the first key typed over it has replaced; what is typed on adds to the new one."""
    is_typed = False
    """Somebody has typed here since the line told of it last; a text is also put here, or stands here from the start."""
    _refused: tuple[str, Selection] | None = None

    class NotTaken(Message):
        """Something was typed behind a text that enter was refused on, before anything of that text was changed."""

    def refuse(self) -> None:
        """Take no more behind this text: what is typed next was meant for another line, unless it is edited first."""
        self._refused = (self.value, self.selection)

    @property
    def is_typed_over(self) -> bool:
        """Tell whether the next character takes the place of the whole reading."""
        return bool(self.value) and self.selected_text == self.value

    def replace(self, text: str, start: int, end: int) -> None:
        """Put text in the place of other text; a reading replaced as a whole is remembered."""
        if text and self._refused == (self.value, self.selection):
            self.post_message(self.NotTaken())
            return
        self.replaced = self.value if self.is_typed_over and text else ""
        self.is_typed = True
        first, last = sorted((start, end))
        is_its_like = bool(text) and self.value[first:last] == text
        super().replace(text, start, end)
        if is_its_like:  # Textual tells of other values only
            self.post_message(self.Changed(self, self.value))

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Take what may belong to a reading, and the arrows that move within it."""
        if key in {"left", "right"}:
            return True
        return key not in self.left_alone and super().check_consume_key(key, character)


class TickField(Said, can_focus=True):
    """The answer to a line without a figure."""


class CheckLine(Widget):
    """A line of the bench; says what was typed, shows what it is told."""

    DEFAULT_CSS: ClassVar[str] = """
    CheckLine { height: auto; layout: vertical; }
    """

    view: reactive[LineView | None] = reactive(None, repaint=False)
    """Its parts show it; the line itself draws nothing but its ground."""

    class Typed(Message):
        """A field's text has changed."""

        def __init__(self, line: "CheckLine", *, anew: bool) -> None:
            """Say which line; its text is read when the message is handled, so it is never stale.

            `anew`: somebody typed it, though it may be the same as before.
            """
            super().__init__()
            self.line = line
            self.anew = anew

    def __init__(self, view: LineView) -> None:
        """Build the line for a view; later views must be of the same shape."""
        super().__init__(classes=f"-{view.line.shape}")
        self._line = view.line
        self._first = view
        self.door = self._make_door()
        """The part that takes the keys."""
        self._title = Said(classes="title")
        self._limit = Said(classes="limit")
        self._gauge = Gauge()
        self._word = Said(classes="word")
        self._note = Said(classes="note")

    @property
    def shape(self) -> LineShape:
        """How it is answered; a line keeps its shape for good."""
        return self._line.shape

    def take_up(self, view: LineView, *, same: bool) -> None:
        """Become the line of another item, or of the same set out anew: the same parts, with what was entered there."""
        self._line = view.line
        self.put_text(view.text)
        if isinstance(self.door, SeenList) and not (same and self.door.lines == tuple(word.line for word in view.seen)):
            self.door.cursor = 0
        self.view = view

    def leave(self, keys: frozenset[str]) -> None:
        """Leave these keys to the bench; where no trip is an answer, space gives it."""
        if isinstance(self.door, ReadingField):
            gives_no_trip = self._line.check is Check.RCD_HALF and not self.text
            self.door.left_alone = keys if gives_no_trip else keys - {"space"}

    @property
    def line_id(self) -> LineId:
        """Which line this is."""
        return self._line.id

    @property
    def waits(self) -> bool:
        """Something is still to be done here; before it is mounted the view it was built for tells."""
        return (self.view or self._first).waits

    @property
    def text(self) -> str:
        """What stands in the field; empty for lines without one."""
        return self.door.value if isinstance(self.door, ReadingField) else ""

    @property
    def typing_words(self) -> str:
        """What typing does, or has just done, to a reading that stands here already."""
        if not isinstance(self.door, ReadingField):
            return ""
        if self.door.is_typed_over:
            return f"typing replaces {self.door.value}, ← → edit it"
        return f"{self.door.replaced} is replaced" if self.door.replaced else ""

    def compose(self) -> ComposeResult:
        """Lay out the parts; a list of things to look at takes the room of field, limit and gauge."""
        with Horizontal(classes="row"):
            yield self._title
            yield self.door
            if self._line.shape is not LineShape.LIST:
                yield self._limit
                yield self._gauge
            yield self._word
        yield self._note

    def field_at_hand(self) -> tuple[str, FieldHelp] | None:
        """What F1 says of this line."""
        return self._line.title.strip(), help_of_line(self._line)

    def refuse(self) -> None:
        """Keep the keys and the text: it cannot be read."""
        if isinstance(self.door, ReadingField):
            self.door.refuse()

    def on_mount(self) -> None:
        """Show the first view."""
        self.view = self._first

    def watch_view(self, view: LineView | None) -> None:
        """Show a new view, touching only what it changes."""
        if view is None:
            return
        self._title.say(view.title)
        self._limit.say(view.limit)
        self._gauge.view = view.gauge
        self._word.say(view.word, _STYLES[view.tone])
        self._note.say(view.note, _STYLES[view.note_tone])
        self._note.set_class(not view.note, "-empty")
        self._note.set_class(view.note_tone is not Tone.QUIET, "-pressing")
        self._show_in_door(view)
        self.set_class(view.closed, "-closed")

    def on_input_changed(self, event: Input.Changed) -> None:
        """Pass a change on as the bench's own message."""
        event.stop()
        if isinstance(self.door, ReadingField):
            self.post_message(self.Typed(self, anew=self.door.is_typed))
            self.door.is_typed = False

    def put_text(self, text: str) -> None:
        """Set the field's text without a message."""
        if isinstance(self.door, ReadingField) and self.door.value != text:
            with self.door.prevent(Input.Changed):
                self.door.value = text
                self.door.cursor_position = len(text)

    def on_click(self, _event: events.Click) -> None:
        """Take the keys when any part of the line is clicked."""
        if self.door.focusable:
            self.screen.set_focus(self.door)

    def _make_door(self) -> Widget:
        if self._line.shape is LineShape.LIST:
            return SeenList()
        if self._line.shape is LineShape.TICK:
            return TickField(classes="door")
        field = ReadingField(self._first.text, classes="door", compact=True)
        field.cursor_blink = False
        return field

    def _show_in_door(self, view: LineView) -> None:
        if isinstance(self.door, SeenList):
            self.door.seen = view.seen
        elif isinstance(self.door, TickField):
            self.door.say(view.text)
        self.door.disabled = view.closed
