"""A terminal that knows only what a drawing program writes; many times quicker than one that knows everything."""

import re
from codecs import getincrementaldecoder
from functools import lru_cache
from typing import Final

from wcwidth import wcwidth

_TOKEN: Final = re.compile(
    r"\x1b\[(?P<style>[0-9;]*)m|\x1b\[(?P<line>\d+);(?P<column>\d+)H|(?P<end>\r\n)|(?P<text>[^\x00-\x1f\x7f-\x9f]+)"
    r"|\x1b\[[^@-~]*[@-~]|\x1b\][^\x07]*\x07|."
)
_BEGUN: Final = re.compile(r"\x1b(?:\[[^@-~]*|\][^\x07]*)?$|\r$")
"""A sequence of which the rest has not come yet."""

width_of: Final = lru_cache(maxsize=4096)(wcwidth)

Cell = tuple[str, str]
"""What stands in a cell, and the parameters of its style; the second half of a wide character is empty."""


class QuickScreen:
    """Draws text in styles at places; what else it is told, it leaves."""

    def __init__(self, columns: int, lines: int) -> None:
        self.columns = columns
        self.lines = lines
        self._cells: list[list[Cell]] = [[(" ", "")] * columns for _ in range(lines)]
        self._decoder = getincrementaldecoder("utf-8")()
        self._begun = ""
        self._line = self._column = 0
        self._style = ""

    @property
    def display(self) -> list[str]:
        """The lines as text."""
        return ["".join(data for data, _ in line) for line in self._cells]

    def row(self, number: int) -> list[Cell]:
        """The cells of one line."""
        return self._cells[number]

    def feed(self, data: bytes) -> None:
        """Take what was written."""
        text = self._begun + self._decoder.decode(data)
        begun = _BEGUN.search(text)
        self._begun = begun.group() if begun else ""
        for token in _TOKEN.finditer(text, 0, len(text) - len(self._begun)):
            if token["text"] is not None:
                self._draw(token["text"])
            elif token["style"] is not None:
                self._style = "" if token["style"] in {"", "0"} else f"{self._style};{token['style']}"
            elif token["line"] is not None:
                self._line = min(int(token["line"]), self.lines) - 1
                self._column = min(int(token["column"]), self.columns) - 1
            elif token["end"] is not None:
                self._line, self._column = min(self._line + 1, self.lines - 1), 0

    def _draw(self, text: str) -> None:
        line = self._cells[self._line]
        if text.isascii():
            drawn = text[: self.columns - self._column]
            line[self._column : self._column + len(drawn)] = [(character, self._style) for character in drawn]
            self._column += len(drawn)
            return
        for character in text:
            width = width_of(character)
            if width == 0 and self._column:
                before, style = line[self._column - 1]
                line[self._column - 1] = (before + character, style)
            elif width > 0 and self._column + width <= self.columns:
                line[self._column : self._column + width] = [(character, self._style), ("", self._style)][:width]
                self._column += width
