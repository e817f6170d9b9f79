"""What stands in the cells of a terminal, so that only what differs is written: text to draw goes in, less comes out.

It knows no toolkit, only the drawing that one writes: go to a cell, text in styles, the next line. Anything else
passes as it stands, and what stood on the terminal is then unknown until it has been drawn anew.
"""

import re
import unicodedata
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import groupby
from operator import itemgetter
from typing import Final, NamedTuple

FRAME_BEGINS: Final = "\x1b[?2026h"
FRAME_ENDS: Final = "\x1b[?2026l"
"""Between them a terminal that can draws nothing, then all at once."""
JOINED: Final = 8
"""Fewer equal cells than this between two that differ are written too: going to a cell takes as many bytes."""

_MOVE: Final = re.compile(r"\x1b\[(\d+);(\d+)H")
_STYLE: Final = re.compile(r"\x1b\[([\d;]*)m")
_BESIDE: Final = re.compile(r"\x07|\x1b\](?!8;)[^\x07\x1b]*(?:\x07|\x1b\\)")
"""A bell, the mouse pointer's shape, the clipboard: no cell is changed."""
_SURE_MARKS: Final = 200
"""Combining classes from here on are marks above and below a letter; terminals agree where they belong."""
_JOINING: Final = re.compile(r"[\U0001f1e6-\U0001f1ff\U0001f3fb-\U0001f3ff\u1100-\u11ff\ua960-\ua97f\ud7b0-\ud7ff]")
"""Flags, skin tones and syllables in parts: letters that some terminals draw as one."""


class Style(NamedTuple):
    """How letters are drawn; empty parts are the terminal's own."""

    marks: frozenset[str] = frozenset()
    """Codes of bold, underlined and the like."""
    ink: str = ""
    """The codes of the letters' colour."""
    paper: str = ""
    """Those of the colour behind them."""


_PLAIN: Final = Style()
_SEEN_ON_BLANKS: Final = frozenset(["4", "5", "6", "7", "9", "21", "53"])
"""Codes of lines, blinking and reversing: without them nobody sees which ink a blank has."""

Cell = tuple[str, Style]
"""A letter with the marks that belong to it, and its style; the second half of a wide letter is empty."""


class _Unknown(Exception):
    """Something that is no drawing."""


class TerminalCells:
    """Remembers what was written to a terminal, and leaves out what stands there already."""

    def __init__(self) -> None:
        """Know no size yet: until it is told everything passes."""
        self._columns = self._lines = 0
        self._rows: dict[int, list[Cell | None]] = {}
        """Lines of which something is known; None: a cell that is not."""
        self._texts: dict[int, str] = {}
        """What was written for a whole line and still stands there: equal text need not even be read."""
        self._at: tuple[int, int] | None = None
        """Where the terminal writes next; None: unknown."""
        self._pen = _PLAIN
        """The style the terminal draws in while a text is put together; between two texts its own."""
        self._frame_waits = False

    def resize(self, columns: int, lines: int) -> None:
        """The terminal has another size: what stood there may have been cut or moved."""
        self._columns, self._lines = columns, lines
        self.forget()

    def forget(self) -> None:
        """Take every cell for unknown."""
        self._rows.clear()
        self._texts.clear()
        self._at = None

    def changed(self, text: str) -> str:
        """What must be written so that the terminal shows what it would after `text`; a frame of nothing is left out."""
        if text == FRAME_BEGINS:
            self._frame_waits = True
            return ""
        if text == FRAME_ENDS and self._frame_waits:
            self._frame_waits = False
            return ""
        drawn = text if text == FRAME_ENDS or _BESIDE.fullmatch(text) else self._drawn(text)
        if drawn and self._frame_waits:
            self._frame_waits = False
            return FRAME_BEGINS + drawn
        return drawn

    def _drawn(self, text: str) -> str:
        before, *moves = _MOVE.split(text)
        if before:
            self.forget()
            return text
        try:
            pieces = [
                self._line(int(line) - 1, int(column) - 1, piece.removesuffix("\n"))
                for line, column, piece in zip(moves[::3], moves[1::3], moves[2::3], strict=True)
            ]
        except _Unknown:
            self.forget()
            self._pen = _PLAIN
            return text
        pieces.append(self._take_up(_PLAIN))
        if moves[2::3][-1:] == [""]:
            pieces.append(self._go(int(moves[-3]) - 1, int(moves[-2]) - 1))
        return "".join(pieces)

    def _line(self, line: int, column: int, text: str) -> str:
        """What a text at a place changes there."""
        if not text or (column == 0 and self._texts.get(line) == text):
            return ""
        if line >= self._lines:
            raise _Unknown
        cells = _cells_of(text)
        known = self._rows.get(line)
        if cells is None or column + len(cells) > self._columns or (known and _cuts(known, column, len(cells))):
            return self._as_it_stands(line, column, text)
        if known is None:
            known = self._rows[line] = [None] * self._columns
        before = known[column : column + len(cells)]
        if before == cells:
            return ""
        known[column : column + len(cells)] = cells
        self._texts.pop(line, None)
        if column == 0 and len(cells) == self._columns:
            self._texts[line] = text
        return "".join(self._span(line, column + start, cells[start:end]) for start, end in _spans(before, cells))

    def _as_it_stands(self, line: int, column: int, text: str) -> str:
        """Write a text whole; where some of its letters are doubtful nobody knows what the line shows then."""
        self._rows.pop(line, None)
        self._texts.pop(line, None)
        self._at = None
        return f"{self._take_up(_PLAIN)}\x1b[{line + 1};{column + 1}H{text}"

    def _span(self, line: int, column: int, cells: Sequence[Cell]) -> str:
        moved = self._go(line, column)
        end = column + len(cells)
        self._at = (line, end) if end < self._columns else None
        runs = ((style, "".join(letter for letter, _ in run)) for style, run in groupby(cells, key=itemgetter(1)))
        return moved + "".join(self._take_up(style, blank=not letters.strip(" ")) + letters for style, letters in runs)

    def _take_up(self, style: Style, *, blank: bool = False) -> str:
        """The codes from one style to the next; the ink of blanks stays as it is."""
        pen = self._pen
        if blank and not (pen.marks | style.marks) & _SEEN_ON_BLANKS:
            style = Style(pen.marks, pen.ink, style.paper)
        self._pen = style
        if style == pen:
            return ""
        if style == _PLAIN:
            return "\x1b[0m"
        codes = []
        if not pen.marks <= style.marks:
            codes, pen = ["0"], _PLAIN
        codes += sorted(style.marks - pen.marks)
        if style.ink != pen.ink:
            codes.append(style.ink or "39")
        if style.paper != pen.paper:
            codes.append(style.paper or "49")
        return f"\x1b[{';'.join(codes)}m"

    def _go(self, line: int, column: int) -> str:
        if self._at == (line, column):
            return ""
        self._at = (line, column)
        return f"\x1b[{line + 1};{column + 1}H"


def _cuts(known: Sequence[Cell | None], column: int, length: int) -> bool:
    """Tell whether a text so long begins or ends within a wide letter that is known to stand there."""
    end = column + length
    edges = (*known[column : column + 1], *known[end : end + 1])
    return any(cell is not None and cell[0] == "" for cell in edges)


def _spans(before: Sequence[Cell | None], after: Sequence[Cell]) -> Iterator[tuple[int, int]]:
    """The stretches that differ, each with its end; a wide letter is whole."""
    differing = [place for place, pair in enumerate(zip(before, after, strict=True)) if pair[0] != pair[1]]
    start = last = differing[0]
    for place in differing[1:]:
        if place - last > JOINED:
            yield start, _whole(after, last + 1)
            start = place
        last = place
    yield start, _whole(after, last + 1)


def _whole(cells: Sequence[Cell], end: int) -> int:
    while end < len(cells) and cells[end][0] == "":
        end += 1
    return end


def _cells_of(text: str) -> list[Cell] | None:
    """The cells that a text in styles fills; None where terminals disagree how many."""
    first, *styled = _STYLE.split(text)
    cells: list[Cell] = []
    style, sure = _PLAIN, True
    for codes, letters in [("0", first), *zip(styled[::2], styled[1::2], strict=True)]:
        style = after(style, codes)
        if letters.isascii() and letters.isprintable():
            cells += [(letter, style if letter != " " else _on_blank(style)) for letter in letters]
        else:
            sure = _fill(cells, letters, style) and sure
    if style != _PLAIN:
        raise _Unknown
    return cells if sure else None


@lru_cache(maxsize=1024)
def after(style: Style, codes: str) -> Style:
    """A style after some codes, which add to it or take back what stands before them."""
    left = codes.split(";")[::-1]
    while left:
        code = left.pop()
        if code in {"", "0"}:
            style = _PLAIN
        elif code in {"38", "48"}:
            parts = [left.pop() for _ in range(4 if left[-1:] == ["2"] else 2) if left]
            colour = ";".join((code, *parts))
            style = style._replace(ink=colour) if code == "38" else style._replace(paper=colour)
        elif code in {"39", "49"}:
            style = style._replace(ink="") if code == "39" else style._replace(paper="")
        elif code in _INKS:
            style = style._replace(ink=code)
        elif code in _PAPERS:
            style = style._replace(paper=code)
        elif code in _MARKS:
            style = style._replace(marks=style.marks | {code})
        else:
            raise _Unknown
    return style


_INKS: Final = frozenset(map(str, (*range(30, 38), *range(90, 98))))
_PAPERS: Final = frozenset(map(str, (*range(40, 48), *range(100, 108))))
_MARKS: Final = frozenset({"1", "2", "3", "8"}) | _SEEN_ON_BLANKS


@lru_cache(maxsize=1024)
def _on_blank(style: Style) -> Style:
    """What of a style is seen on a blank."""
    return style if style.marks & _SEEN_ON_BLANKS else Style(paper=style.paper)


def _fill(cells: list[Cell], letters: str, style: Style) -> bool:
    """Add letters that are not all plain; False where one is met whose width is doubtful."""
    for letter in letters:
        width = _width(letter)
        if width is None:
            return False
        if width:
            own = style if letter != " " else _on_blank(style)
            cells += [(letter, own), ("", own)][:width]
        else:
            place = len(cells) - 1 if cells and cells[-1][0] else len(cells) - 2
            if place < 0:  # it goes to a letter of the text before, wherever that ends
                raise _Unknown
            if cells[place][0] == " " or cells[place][1] != style:
                return False
            cells[place] = (cells[place][0] + letter, style)
    return True


@lru_cache(maxsize=4096)
def _width(letter: str) -> int | None:
    """How many cells a letter takes, 0 for a mark on the one before; None where terminals disagree."""
    kind = unicodedata.category(letter)
    if kind == "Cc":
        raise _Unknown
    if kind == "Mn":
        return 0 if unicodedata.combining(letter) >= _SURE_MARKS else None
    if kind[0] == "C" or kind in {"Mc", "Me"} or _JOINING.match(letter):
        return None
    return 2 if unicodedata.east_asian_width(letter) in {"W", "F"} else 1
