"""Rows of a view in cached chunks, so that a long list costs what is on the screen."""

from collections import OrderedDict
from collections.abc import Sequence
from typing import Final

from appreg.ui.widgets.row_sources import Row, RowView

CHUNK: Final = 64
"""Rows fetched at once: a tall terminal's worth."""
KEPT: Final = 16
"""Chunks kept; the least recently shown goes first."""


class RowChunks:
    """The rows of one view, fetched 64 at a time."""

    def __init__(self, view: RowView) -> None:
        self._view = view
        self._chunks: OrderedDict[int, Sequence[Row]] = OrderedDict()

    def row(self, index: int) -> Row:
        """Return the cells of one row; none for a row that is gone since the view was made."""
        number, place = divmod(index, CHUNK)
        chunk = self._chunks.get(number)
        if chunk is None:
            chunk = self._fetched(number)
        else:
            self._chunks.move_to_end(number)
        return chunk[place] if place < len(chunk) else ()

    def _fetched(self, number: int) -> Sequence[Row]:
        start = number * CHUNK
        chunk = self._view.rows(start, min(start + CHUNK, len(self._view)))
        self._chunks[number] = chunk
        if len(self._chunks) > KEPT:
            self._chunks.popitem(last=False)
        return chunk
