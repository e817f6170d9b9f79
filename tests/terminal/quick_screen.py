"""A terminal that knows only what a drawing program writes; many times quicker than one that knows everything."""

import re
from codecs import getincrementaldecoder
from functools import lru_cache
from typing import Final

from wcwidth import wcwidth

_TOKEN: Final = re.compile(
    r"\x1b\[(?P<style>[0-9;]*)m|\x1b\[(?P<line>\d+);(?P<column>\d+)H|(?P<end>\r\n)|(?P<text>[^\x00-\x1f\x7f-\x9f]+)"
    r"|\x1b\(.|\x1b\[[^@-~]*[@-~]|\x1b\][^\x07]*\x07|."
)
_BEGUN: Final = re.compile(r"\x1b(?:\[[^@-~]*|\][^\x07]*)?$|\r$")
"""A sequence of which the rest has not come yet."""

_COLOUR: Final = re.compile(r"[34]8;(?:2;\d+;\d+;\d+|5;\d+)|\d+")
_TOOK_BACK: Final = {"39": "3", "49": "4"}


@lru_cache(maxsize=4096)
def style_after(style: str, codes: str) -> str:
    """A style after some codes, always written in one way: what is drawn alike reads alike."""
    parts = {} if not style else dict.fromkeys(style.split(" "))
    for code in _COLOUR.findall(codes or "0"):
        kind = "3" if re.match(r"38|3\d$|9\d$", code) else "4" if re.match(r"48|4\d$|10\d$", code) else ""
        if code == "0":
            parts = {}
            continue
        parts = {part: None for part in parts if not (kind and part.startswith(kind + "="))}
        if code not in _TOOK_BACK:
            parts[f"{kind}={code}" if kind else code] = None
    return " ".join(sorted(parts))


@lru_cache(maxsize=4096)
def on_blank(style: str) -> str:
    """What of a style is seen on a blank: its paper, and all of it where there are lines or it is reversed."""
    parts = style.split(" ")
    return style if LINED & set(parts) else " ".join(part for part in parts if part.startswith("4="))


LINED: Final = frozenset({"4", "5", "6", "7", "9", "21", "53"})

width_of: Final = lru_cache(maxsize=4096)(wcwidth)

Cell = tuple[str, str]
"""What stands in a cell, and its style as far as it is seen; the second half of a wide character is empty."""


class QuickScreen:
    """Draws text in styles at places; what else it is told, it leaves."""

    def __init__(self, columns: int, lines: int) -> None:
        self.columns = columns
        self.lines = lines
        self._cells: list[list[Cell]] = [[(" ", "")] * columns for _ in range(lines)]
        self._decoder = getincrementaldecoder("utf-8")()
        self._begun = ""
        self._texts: list[str | None] = [None] * lines
        """The lines as text; None: drawn on since, so to be put together anew."""
        self._drawn_on: set[int] = set()
        self._line = self._column = 0
        self._style = ""

    @property
    def display(self) -> list[str]:
        """The lines as text."""
        texts = self._texts
        for number, text in enumerate(texts):
            if text is None:
                texts[number] = "".join([data for data, _ in self._cells[number]])
        return [text or "" for text in texts]

    def row(self, number: int) -> list[Cell]:
        """The cells of one line."""
        return self._cells[number]

    def drawn_on(self) -> set[int]:
        """The lines on which anything was drawn since this was asked last."""
        drawn_on, self._drawn_on = self._drawn_on, set()
        return drawn_on

    def feed(self, data: bytes) -> None:
        """Take what was written."""
        text = self._begun + self._decoder.decode(data)
        begun = _BEGUN.search(text)
        self._begun = begun.group() if begun else ""
        for token in _TOKEN.finditer(text, 0, len(text) - len(self._begun)):
            if token["text"] is not None:
                self._draw(token["text"])
            elif token["style"] is not None:
                self._style = style_after(self._style, token["style"])
            elif token["line"] is not None:
                self._line = min(int(token["line"]), self.lines) - 1
                self._column = min(int(token["column"]), self.columns) - 1
            elif token["end"] is not None:
                self._line, self._column = min(self._line + 1, self.lines - 1), 0

    def _draw(self, text: str) -> None:
        line = self._cells[self._line]
        self._drawn_on.add(self._line)
        self._texts[self._line] = None
        if text.isascii():
            drawn = text[: self.columns - self._column]
            blank = (" ", on_blank(self._style))
            cells = [(character, self._style) if character != " " else blank for character in drawn]
            line[self._column : self._column + len(drawn)] = cells
            self._column += len(drawn)
            return
        for character in text:
            width = width_of(character)
            if width == 0 and self._column:
                before, style = line[self._column - 1]
                line[self._column - 1] = (before + character, self._style if before == " " else style)
            elif width > 0 and self._column + width <= self.columns:
                style = self._style if character != " " else on_blank(self._style)
                line[self._column : self._column + width] = [(character, style), ("", style)][:width]
                self._column += width
