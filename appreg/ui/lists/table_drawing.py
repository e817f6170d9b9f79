"""A list's lines as strips of plain segments; nothing in a cell is ever read as markup."""

from collections.abc import Callable, Mapping, Sequence
from typing import Final

from msgspec import Struct
from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip

from appreg.core.values.text import shown
from appreg.ui.lists.row_sources import Arrangement, Row
from appreg.ui.lists.table_columns import Placed, Tone, gap_in, set_cell

MARKS: Final = 3
"""Cells before the first column: the cursor's mark, the chosen mark, a blank."""
CURSOR_MARK: Final = "►"
CHOSEN_MARK: Final = "■"
UP_MARK: Final = "↑"
DOWN_MARK: Final = "↓"


class TableStyles(Struct, frozen=True, kw_only=True):
    """The styles of a list, taken from the theme."""

    header: Style
    tones: Mapping[Tone, Style]
    tones_at_cursor: Mapping[Tone, Style]
    """The same inks on the ground of the cursor's row."""
    tones_at_cursor_unfocused: Mapping[Tone, Style]

    @property
    def plain(self) -> Style:
        """The style of an ordinary cell and of what is blank."""
        return self.tones[Tone.PLAIN]


def read_styles(style: Callable[[str], Style]) -> TableStyles:
    """Take the styles of a list from what gives each of its parts its style."""
    tones = {tone: style(tone.value) for tone in Tone}
    return TableStyles(
        header=style("header"),
        tones=tones,
        tones_at_cursor=_on_cursor(tones, style("cursor")),
        tones_at_cursor_unfocused=_on_cursor(tones, style("cursor-unfocused")),
    )


def _on_cursor(tones: Mapping[Tone, Style], cursor: Style) -> Mapping[Tone, Style]:
    return {tone: cursor if tone is Tone.PLAIN else cursor + Style(color=ink.color) for tone, ink in tones.items()}


class RowMarks(Struct, frozen=True, kw_only=True):
    """What a row says of itself beside its cells."""

    cursor: bool = False
    chosen: bool = False
    focused: bool = False


def header_strip(placed: Sequence[Placed], arrangement: Arrangement, width: int, style: Style) -> Strip:
    """Draw the titles, the sorted one with an arrow that points where values grow."""
    gap = " " * gap_in(width - MARKS)
    titles = gap.join(_title(column, arrangement) for column in placed)
    return Strip([Segment((" " * MARKS + titles).ljust(width)[:width], style)], width)


def _title(placed: Placed, arrangement: Arrangement) -> str:
    title = placed.column.title
    if arrangement.column == placed.column.key:
        title = title[: placed.width - 1] + (DOWN_MARK if arrangement.descending else UP_MARK)
    return title.rjust(placed.width) if placed.column.number else title.ljust(placed.width)[: placed.width]


def row_strip(cells: Row, placed: Sequence[Placed], marks: RowMarks, width: int, styles: TableStyles) -> Strip:
    """Draw one row; under the cursor every cell keeps the colour of what it says."""
    tones = _tones_of(marks, styles)
    plain = tones[Tone.PLAIN]
    segments = [Segment(_mark_cells(marks), plain)]
    gap = ""
    used = MARKS
    for column in placed:
        text = cells[column.index] if column.index < len(cells) else ""
        style = tones[column.column.tone(text)]
        segments.append(Segment(gap + set_cell(text, column), style))
        used += len(gap) + column.width
        gap = gap or " " * gap_in(width - MARKS)
    if used > width:
        return Strip(segments).crop(0, width)
    segments.append(Segment(" " * (width - used), plain))
    return Strip(segments, width)


def text_strip(text: str, width: int, style: Style) -> Strip:
    """Draw one line of words across a list."""
    return Strip([Segment(" " * MARKS + shown(text), style)]).adjust_cell_length(width, style)


def column_at(placed: Sequence[Placed], x: int, width: int) -> Placed | None:
    """Return the column under a cell of the line."""
    edge = MARKS
    for column in placed:
        edge += column.width + gap_in(width - MARKS)
        if x < edge:
            return column
    return None


def _mark_cells(marks: RowMarks) -> str:
    return (CURSOR_MARK if marks.cursor else " ") + (CHOSEN_MARK if marks.chosen else " ") + " "


def _tones_of(marks: RowMarks, styles: TableStyles) -> Mapping[Tone, Style]:
    if not marks.cursor:
        return styles.tones
    return styles.tones_at_cursor if marks.focused else styles.tones_at_cursor_unfocused
