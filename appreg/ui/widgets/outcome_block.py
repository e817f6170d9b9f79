"""The outcome in letters to be read from a metre away, and beside it why, and what the next key does."""

from functools import cache
from typing import ClassVar, Final

from rich.cells import cell_len, set_cell_size
from textual import events
from textual.content import Content
from textual.message import Message
from textual.reactive import reactive
from textual.widget import Widget

from appreg.core.values.outcomes import Outcome
from appreg.core.values.text import shown
from appreg.ui.shell.place_line import fitted

ROWS: Final = 3

_LETTERS: Final = {
    "A": (" ## ", "#  #", "####", "#  #", "#  #"),
    "C": (" ###", "#   ", "#   ", "#   ", " ###"),
    "E": ("####", "#   ", "### ", "#   ", "####"),
    "F": ("####", "#   ", "### ", "#   ", "#   "),
    "I": ("#", "#", "#", "#", "#"),
    "L": ("#   ", "#   ", "#   ", "#   ", "####"),
    "M": ("#   #", "## ##", "# # #", "#   #", "#   #"),
    "N": ("#   #", "##  #", "# # #", "#  ##", "#   #"),
    "O": (" ## ", "#  #", "#  #", "#  #", " ## "),
    "P": ("### ", "#  #", "### ", "#   ", "#   "),
    "S": (" ###", "#   ", " ## ", "   #", "### "),
    "T": ("#####", "  #  ", "  #  ", "  #  ", "  #  "),
}
_HALVES: Final = {(False, False): " ", (True, False): "▀", (False, True): "▄", (True, True): "█"}


@cache
def big_word(word: str) -> tuple[str, ...]:
    """The three rows of a word; raises KeyError for a letter that is not drawn."""
    pixels = [" ".join(_LETTERS[letter][row] for letter in word) for row in range(5)]
    pixels.append(" " * len(pixels[0]))
    return tuple(
        "".join(_HALVES[upper == "#", lower == "#"] for upper, lower in zip(pixels[row], pixels[row + 1], strict=True))
        for row in range(0, 2 * ROWS, 2)
    )


_STYLES: Final = {Outcome.PASS: "bold $pass", Outcome.FAIL: "bold $fail", Outcome.INCOMPLETE: "$quiet"}
_SIDES: Final = {Outcome.PASS: (" ", " "), Outcome.FAIL: ("█", "█"), Outcome.INCOMPLETE: ("░", "░")}
"""A failure stands between solid bars, what is incomplete between pale ones, so they differ in form too."""


class OutcomeBlock(Widget, can_focus=True):
    """Shows the outcome; the last stop before an inspection is kept."""

    DEFAULT_CSS: ClassVar[str] = """
    OutcomeBlock { height: 3; padding: 0 1; }
    """

    class Strayed(Message):
        """A character was typed here, where nothing takes it: its line is closed or already passed."""

    outcome: reactive[Outcome] = reactive(Outcome.INCOMPLETE)
    why: reactive[str] = reactive("")
    """What failed or is missing."""
    next_key: reactive[str] = reactive("")
    """What the next key does."""

    def on_key(self, event: events.Key) -> None:
        """Tell of characters that no line took, so that nobody types past a failure unaware."""
        if event.is_printable:
            event.stop()
            self.post_message(self.Strayed())

    def render(self) -> Content:
        """Draw the big word, and beside it two rows of why and one of the next key."""
        left, right = _SIDES[self.outcome]
        drawn = [f"{left} {row} {right}" for row in big_word(self.outcome.value.upper())]
        room = max(10, self.size.width - cell_len(drawn[0]) - 2)
        beside = [*_rows(shown(self.why), room), fitted(shown(self.next_key), room)]
        rows = [
            Content.assemble((big, _STYLES[self.outcome]), "  ", small)
            for big, small in zip(drawn, beside, strict=True)
        ]
        return Content("\n").join(rows)


def _rows(text: str, room: int) -> tuple[str, str]:
    """Two rows of a text, broken between words, the second cut where it does not fit."""
    first = text if cell_len(text) <= room else set_cell_size(text, room)
    if first != text and " " in first and not text[len(first) :].startswith(" "):
        first = first[: first.rindex(" ")]
    return first.rstrip(), fitted(text[len(first) :].strip(), room)
