"""What is at hand, large: its name, what stands there, the limit, and a mark; as much of it as there is room for."""

from collections.abc import Sequence
from functools import lru_cache
from typing import ClassVar, Final

from msgspec import Struct
from rich.cells import cell_len
from textual.content import Content
from textual.reactive import reactive

from appreg.core.values.text import shown
from appreg.ui.shell.place_line import fitted
from appreg.ui.widgets.big_letters import ROWS, TALL_ROWS, big_width, big_word, can_draw
from appreg.ui.widgets.drawn_rows import DrawnRows

TALL: Final = ROWS + TALL_ROWS
"""Rows from which the name has its own and the rest is drawn twice as large."""
_GAPS: Final = (3, 2)
_BLOCKS_KEPT: Final = 64
"""Texts whose drawing is kept: of a digit most stay as they were."""


class LargeView(Struct, frozen=True, kw_only=True):
    """What a large line shows; each part is left out where it is empty."""

    title: str = ""
    """A short name."""
    name: str = ""
    """The whole name, shown where it has rows of its own and can be drawn."""
    figure: str = ""
    """A reading, an answer, a tag."""
    limit: str = ""
    unit: str = ""
    """Of the limit; the first to go where there is no room for all."""
    mark: str = ""
    """√, X or ?, so that form tells what colour tells."""
    style: str = "$ink"
    """Of figure and mark."""
    last: str = ""
    """What stood there last time; shown where the name has rows of its own."""
    words: str = ""
    """The same in plain words, for what cannot be drawn."""


Block = tuple[tuple[str, ...], str]
"""Rows of one width, and their style."""


def large_rows(view: LargeView, width: int, height: int) -> list[Content]:
    """Draw a view in so many cells and rows: large what fits, the rest small beside it, nothing ever cut apart."""
    if height >= TALL and (tall := _tall(view, width)):
        return tall
    title, figure, mark = (
        _block(view.title, "bold $mark"),
        _block(view.figure, view.style),
        _block(view.mark, view.style),
    )
    limits = [_block(view.limit + view.unit, ""), _block(view.limit, "")]
    if title and figure and (limits[0] or not view.limit):
        for limit in limits:
            for gap in _GAPS:
                if _width(whole := [title, figure, limit, mark], gap) <= width:
                    return _joined(whole, ROWS, gap)
    limit_words = f"{view.limit}{view.unit}"
    for large, small in (
        ([figure, limits[0], mark], [view.name or view.title]),
        ([figure, limits[0], mark], [view.title]),
        ([figure, limits[1], mark], [view.title, view.unit]),
        ([figure, mark], [view.title, limit_words]),
        ([figure], [view.title, f"{limit_words} {view.mark}"]),
    ):
        wanted = max(cell_len(shown(text)) for text in small)
        undrawn = view.limit and len(large) > len(limits) and large[1] is None
        if figure and not undrawn and wanted + 2 + _width(large, 2) <= width:
            return _joined([_words(small, wanted), *large], ROWS, 2)
    said = view.words or f"{view.title} {view.figure} {limit_words} {view.mark}"
    return [Content(""), Content.styled(fitted(shown(said), width), f"bold {view.style}"), Content("")]


def _tall(view: LargeView, width: int) -> list[Content]:
    """The name in rows of its own, what stands there twice as large; empty where that has no room."""
    name = view.name if can_draw(view.name) and big_width(view.name) <= width else view.title
    title = _block(name, "bold $mark")
    last = _block(f"LAST {view.last}" if view.last else "", "$quiet")
    if title is None or _width([title], 0) > width:
        return []
    top = [title, last] if _width([title, last], 6) <= width else [title]
    limits = [(view.limit + view.unit, True), (view.limit + view.unit, False), (view.limit, False)]
    for tall in (True, False):
        figure, mark = (_block(text, view.style, tall=tall) for text in (view.figure, view.mark))
        for words, tall_limit in limits[0 if tall else 1 :]:
            limit = _block(words, "", tall=tall_limit)
            if figure and (limit or not view.limit) and _width([figure, limit, mark], _GAPS[0]) <= width:
                return [*_joined(top, ROWS, 6), *_joined([figure, limit, mark], TALL_ROWS, _GAPS[0])]
    return []


@lru_cache(_BLOCKS_KEPT)
def _block(text: str, style: str, *, tall: bool = False) -> Block | None:
    return (big_word(text, tall=tall), style) if can_draw(text) else None


def _words(texts: Sequence[str], width: int) -> Block:
    """Small words in the rows of large ones, the first of them bold."""
    rows = [shown(text).ljust(width) for text in texts] + [" " * width] * (ROWS - len(texts))
    return tuple(rows), "bold $mark"


def _width(blocks: Sequence[Block | None], gap: int) -> int:
    widths = [cell_len(block[0][0]) for block in blocks if block is not None]
    return sum(widths) + gap * (len(widths) - 1)


def _joined(blocks: Sequence[Block | None], rows: int, gap: int) -> list[Content]:
    """Blocks side by side on one base line."""
    drawn = [block for block in blocks if block is not None]
    lines = []
    for row in range(rows):
        parts: list[str | tuple[str, str]] = []
        for texts, style in drawn:
            above = rows - len(texts)
            text = texts[row - above] if row >= above else " " * cell_len(texts[0])
            parts += [" " * gap if parts else "", (text, style) if style else text]
        lines.append(Content.assemble(*parts))
    return lines


class LargeLine(DrawnRows):
    """Shows a large view in the rows it has."""

    DEFAULT_CSS: ClassVar[str] = """
    LargeLine { height: 3; padding: 0 1; }
    """

    view: reactive[LargeView] = reactive(LargeView())

    def rows(self) -> list[Content]:
        """What is at hand."""
        return large_rows(self.view, self.content_size.width, self.content_size.height)
