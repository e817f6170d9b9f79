"""The outcome in letters to be read from a metre away, and beside it why, and what the next key does."""

from collections.abc import Sequence
from typing import ClassVar, Final

from rich.cells import cell_len, set_cell_size
from textual import events
from textual.content import Content
from textual.message import Message
from textual.reactive import reactive

from appreg.core.values.outcomes import Outcome
from appreg.core.values.text import shown
from appreg.ui.shell.place_line import fitted
from appreg.ui.widgets.big_letters import TALL_ROWS, big_width, big_word, cut_out
from appreg.ui.widgets.drawn_rows import DrawnRows
from appreg.ui.widgets.labelled_rule import labelled_rule

_ROOM_FOR_WHY: Final = 30
"""Cells beside the word from which it is said there why; with fewer it stands in the rule above."""
_ROOM_FOR_KEY: Final = 18
"""Cells beside the word from which it is said there what the next key does; with fewer it stands beneath."""
_GAP: Final = 2
_STYLES: Final = {Outcome.PASS: "bold $pass", Outcome.FAIL: "bold $fail", Outcome.INCOMPLETE: "$quiet"}


def drawn_outcome(outcome: Outcome, *, tall: bool = False) -> tuple[str, ...]:
    """The word with the row of the rule above it: a failure is cut out of a slab, the others stand on the ground."""
    word = outcome.value.upper()
    if outcome is Outcome.FAIL:
        return cut_out(word, tall=tall)
    rows = big_word(word, tall=tall)
    return (" " * len(rows[0]), *rows)


class OutcomeBlock(DrawnRows, can_focus=True):
    """Shows the outcome; the last stop before an inspection is kept."""

    DEFAULT_CSS: ClassVar[str] = """
    OutcomeBlock { height: 4; padding: 0 1; }
    """

    class Strayed(Message):
        """A character was typed here, where nothing takes it: its line is closed or already passed."""

    outcome: reactive[Outcome] = reactive(Outcome.INCOMPLETE)
    why: reactive[tuple[str, ...]] = reactive(("",))
    """What failed or is missing; the longest way to say it first."""
    next_key: reactive[str] = reactive("")
    """What the next key does."""

    def on_key(self, event: events.Key) -> None:
        """Tell of characters that no line took, so that nobody types past a failure unaware."""
        if event.is_printable:
            event.stop()
            self.post_message(self.Strayed())

    def rows(self) -> list[Content]:
        """The big word, and around it why, and what the next key does."""
        width, height = self.content_size
        tall = height > TALL_ROWS + 1 and big_width(self.outcome.value.upper(), tall=True) + _ROOM_FOR_WHY < width
        drawn = drawn_outcome(self.outcome, tall=tall)
        room = width - cell_len(drawn[0]) - _GAP
        rule, beside, beneath = self._words(width, room, len(drawn) - 1, height - len(drawn))
        style = _STYLES[self.outcome]
        if self.outcome is Outcome.FAIL:
            rule = Content.assemble((drawn[0], style), labelled_rule("", "", width - cell_len(drawn[0])))
        rows = [rule]
        for big, small in zip(drawn[1:], [*beside, *[""] * len(drawn)], strict=False):
            rows.append(Content.assemble((big, style), " " * _GAP, small))
        return [*rows, *map(Content, beneath)]

    def _words(self, width: int, room: int, beside: int, beneath: int) -> tuple[Content, list[str], list[str]]:
        """What stands in the rule, in the rows beside the word, and in those beneath it."""
        key, forms = shown(self.next_key), [shown(form) for form in self.why]
        if room >= _ROOM_FOR_WHY:
            keyed = _rows(key, room, beside - 1)
            rows = beside - len(keyed)
            if len(broken(forms[0], room)) > rows and beneath >= len(under := broken(forms[0], width)):
                return labelled_rule("", "", width), keyed, under
            why = next((form for form in forms if len(broken(form, room)) <= rows), forms[-1])
            return labelled_rule("", "", width), [*_padded(_rows(why, room, rows), rows), *keyed], []
        why = next((form for form in forms if cell_len(form) <= width - 4), forms[-1])
        rule = labelled_rule(why, "", width, style="bold")
        if room >= _ROOM_FOR_KEY:
            return rule, _rows(key, room, beside), []
        return rule, [], _rows(key, width, beneath)


def broken(text: str, room: int) -> list[str]:
    """A text in rows of so many cells, broken between words, within one only where it fills a row by itself."""
    rows, left = [], text.strip()
    while cell_len(left) > room:
        row = set_cell_size(left, room)
        if " " in row and not left[len(row) :].startswith(" "):
            row = row[: row.rindex(" ")]
        rows.append(row.rstrip())
        left = left[len(row) :].strip()
    return [*rows, left] if left else rows


def _rows(text: str, room: int, most: int) -> list[str]:
    """The same in at most so many rows, the last cut where more is left."""
    rows = broken(text, room)
    if len(rows) <= most:
        return rows
    kept = rows[: max(most - 1, 0)]
    return [*kept, fitted(" ".join(rows[len(kept) :]), room)]


def _padded(rows: Sequence[str], count: int) -> list[str]:
    return [*rows, *[""] * (count - len(rows))]
