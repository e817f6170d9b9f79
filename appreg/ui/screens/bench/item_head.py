"""The item on the bench: its tag large, beside it what it is, beneath it where it stands and what it came to last."""

from typing import ClassVar, Final

from msgspec import Struct
from rich.cells import cell_len
from textual.content import Content
from textual.reactive import reactive
from textual.widget import Widget

from appreg.core.values.text import shown
from appreg.ui.shell.place_line import fitted
from appreg.ui.widgets.big_letters import ROWS, TALL_ROWS, big_width, big_word, can_draw
from appreg.ui.widgets.labelled_rule import labelled_rule

_GAP: Final = 3
_LEAST_WORDS: Final = 24
"""Cells beside a large tag without which it is not drawn large."""
_ROOM_BESIDE_TALL: Final = 44


class HeadView(Struct, frozen=True, kw_only=True):
    """What the head shows."""

    tag: str = ""
    name: str = ""
    what: str = ""
    """Class, type and power."""
    cord: str = ""
    """Cord and fuse."""
    room: str = ""
    last: str = ""
    """The latest inspection."""


class ItemHead(Widget):
    """Shows one item in the rows it has; the last of them is a rule."""

    DEFAULT_CSS: ClassVar[str] = """
    ItemHead { height: 4; padding: 0 1; }
    """

    view: reactive[HeadView] = reactive(HeadView())

    def render(self) -> Content:
        """Draw tag, words and rule."""
        width, height = self.content_size
        rows = head_rows(self.view, width, height - 1)
        return Content("\n").join([*rows, labelled_rule(self.view.room, self.view.last, width, style="bold")])


def head_rows(view: HeadView, width: int, height: int) -> list[Content]:
    """The rows above the rule: the tag as large as there is room for, and in plain letters for those who copy or hear it."""
    details = [(f"{view.tag}  {view.name}", "bold"), (view.what, ""), (view.cord, "$quiet")]
    for tall, rows, least in ((True, TALL_ROWS, _ROOM_BESIDE_TALL), (False, ROWS, _LEAST_WORDS)):
        if height >= rows and can_draw(view.tag) and big_width(view.tag, tall=tall) + _GAP + least <= width:
            drawn = big_word(view.tag, tall=tall)
            room = width - cell_len(drawn[0]) - _GAP
            above = (rows - len(details)) // 2
            beside = [("", "")] * above + details + [("", "")] * (rows - above)
            return [
                Content.assemble((big, "bold $mark"), " " * _GAP, (fitted(shown(text), room), style))
                for big, (text, style) in zip(drawn, beside, strict=False)
            ]
    tag = fitted(shown(view.tag), width // 2)
    name = fitted(shown(view.name), width - cell_len(tag) - 2)
    lines = [Content.assemble((tag, "bold $mark"), "  ", (name, "bold"))]
    if height < ROWS:
        return [*lines, Content(fitted(shown(" · ".join(part for part in (view.what, view.cord) if part)), width))]
    return [*lines, *(Content.styled(fitted(shown(text), width), style) for text, style in details[1:])]
