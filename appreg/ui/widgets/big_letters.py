"""Words in letters three rows high, drawn with half blocks, to be read from a metre away."""

from typing import Final

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


def big_word(word: str) -> tuple[str, ...]:
    """The three rows of a word; raises KeyError for a letter that is not drawn."""
    pixels = [" ".join(_LETTERS[letter][row] for letter in word) for row in range(5)]
    pixels.append(" " * len(pixels[0]))
    return tuple(
        "".join(_HALVES[upper == "#", lower == "#"] for upper, lower in zip(pixels[row], pixels[row + 1], strict=True))
        for row in range(0, 2 * ROWS, 2)
    )
