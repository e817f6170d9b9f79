"""Letters to be read from a metre away, drawn by us in half blocks; what has no drawing is not drawn at all."""

from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Final

ROWS: Final = 3
"""Rows of the smaller size."""
TALL_ROWS: Final = 5
"""Rows of the size twice as large."""
_HEIGHT: Final = 5
_SMALL: Final = 1
_TALL: Final = 2
_DRAWINGS_KEPT: Final = 64

_DRAWN: Final[Mapping[str, str]] = {
    "A": " ## |#  #|####|#  #|#  #",
    "B": "### |#  #|### |#  #|### ",
    "C": " ###|#   |#   |#   | ###",
    "D": "### |#  #|#  #|#  #|### ",
    "E": "####|#   |### |#   |####",
    "F": "####|#   |### |#   |#   ",
    "G": " ###|#   |# ##|#  #| ###",
    "H": "#  #|#  #|####|#  #|#  #",
    "I": "#|#|#|#|#",
    "J": "  ##|   #|   #|#  #| ## ",
    "K": "#  #|# # |##  |# # |#  #",
    "L": "#   |#   |#   |#   |####",
    "M": "#   #|## ##|# # #|#   #|#   #",
    "N": "#   #|##  #|# # #|#  ##|#   #",
    "O": " ## |#  #|#  #|#  #| ## ",
    "P": "### |#  #|### |#   |#   ",
    "Q": " ## |#  #|#  #|# # | # #",
    "R": "### |#  #|### |# # |#  #",
    "S": " ###|#   | ## |   #|### ",
    "T": "#####|  #  |  #  |  #  |  #  ",
    "U": "#  #|#  #|#  #|#  #| ## ",
    "V": "#   #|#   #| # # | # # |  #  ",
    "W": "#   #|#   #|# # #|## ##|#   #",
    "X": "#   #| # # |  #  | # # |#   #",
    "Y": "#   #| # # |  #  |  #  |  #  ",
    "Z": "####|   #| ## |#   |####",
    "0": " # |# #|# #|# #| # ",
    "1": " # |## | # | # |###",
    "2": "## |  #| # |#  |###",
    "3": "###|  #| ##|  #|###",
    "4": "# #|# #|###|  #|  #",
    "5": "###|#  |## |  #|## ",
    "6": " ##|#  |###|# #|###",
    "7": "###|  #| # | # | # ",
    "8": "###|# #|###|# #|###",
    "9": "###|# #|###|  #|## ",
    "m": "     |#### |# # #|# # #|# # #",
    "k": "#  |# #|## |# #|# #",
    "s": "   | ##|## |  #|## ",
    "Ω": " ### |#   #|#   #| # # |## ##",
    "µ": "    |#  #|#  #|####|#   ",
    ".": " | | | |#",
    ",": "  |  |  | #|# ",
    "-": "   |   |###|   |   ",
    "–": "   |   |###|   |   ",
    "_": "   |   |   |   |###",
    "/": "  #|  #| # |#  |#  ",
    ">": "#  | # |  #| # |#  ",
    "<": "  #| # |#  | # |  #",
    "≥": "##   |  ## |##   |     |#### ",
    "≤": "  ## |##   |  ## |     |#### ",
    "=": "   |###|   |###|   ",
    "+": "   | # |###| # |   ",
    "×": "   |# #| # |# #|   ",
    ":": " |#| |#| ",
    "?": "###|  #| ##|   | # ",
    "√": "    #|   # |#  # | # # |  #  ",
    "►": "#  |## |###|## |#  ",
    " ": "  |  |  |  |  ",
}
_LETTERS: Final = {sign: tuple(drawing.split("|")) for sign, drawing in _DRAWN.items()}
_HALVES: Final = {(False, False): " ", (True, False): "▀", (False, True): "▄", (True, True): "█"}


def can_draw(text: str) -> bool:
    """Tell whether every sign of a text has a drawing."""
    return bool(text) and all(sign in _LETTERS for sign in text)


def as_drawn(text: str) -> str:
    """A text in the letters there are: small ones that have no drawing in capitals, so that m never becomes M."""
    return "".join(sign if sign in _LETTERS else sign.upper() for sign in text)


def big_width(text: str, *, tall: bool = False) -> int:
    """The cells a text takes; raises KeyError for a sign that is not drawn."""
    return (sum(len(_LETTERS[sign][0]) + 1 for sign in text) - 1) * (_TALL if tall else _SMALL)


@lru_cache(_DRAWINGS_KEPT)
def big_word(text: str, *, tall: bool = False) -> tuple[str, ...]:
    """The rows of a text, three or, tall, five; raises KeyError for a sign that is not drawn."""
    dots = [" ".join(_LETTERS[sign][row] for sign in text) for row in range(_HEIGHT)]
    if tall:
        return tuple("".join("█" * _TALL if dot == "#" else " " * _TALL for dot in row) for row in dots)
    return _in_halves([*dots, " " * len(dots[0])])


def cut_out(text: str, *, tall: bool = False) -> tuple[str, ...]:
    """The same text cut out of a slab, a row more above it and, tall, one below: what fails is told by its form too."""
    dots = [" ".join(_LETTERS[sign][row] for sign in text) for row in range(_HEIGHT)]
    scale = _TALL if tall else _SMALL
    slab = ["".join(" " * scale if dot == "#" else "#" * scale for dot in f"  {row}  ") for row in dots]
    full = "#" * len(slab[0])
    if not tall:
        return _in_halves([" " * len(full), full, *slab, full])
    return ("▄" * len(full), *(row.replace("#", "█") for row in slab), "▀" * len(full))


def _in_halves(dots: Sequence[str]) -> tuple[str, ...]:
    """Two rows of dots in one row of half blocks."""
    return tuple(
        "".join(_HALVES[upper == "#", lower == "#"] for upper, lower in zip(dots[row], dots[row + 1], strict=True))
        for row in range(0, len(dots), 2)
    )
