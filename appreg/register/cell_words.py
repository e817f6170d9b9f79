"""A cell of a damaged table put into words: short, and one line, whatever it holds."""

from typing import Final

_SHOWN: Final = 60


def cell_words(cell: object) -> str:
    """The cell as a sentence names it."""
    text = "nothing" if cell is None else repr(cell[:_SHOWN] if isinstance(cell, (str, bytes)) else cell)
    return text if len(text) <= _SHOWN else text[:_SHOWN] + "…"


def key_words(key: object) -> str:
    """A key as it is where it could be one, otherwise put into words."""
    if isinstance(key, int) or (isinstance(key, str) and len(key) <= _SHOWN and key.isprintable()):
        return str(key)
    return cell_words(key)
