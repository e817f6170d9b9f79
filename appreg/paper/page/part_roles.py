"""What the parts of a document are to whoever has it read aloud."""

from enum import StrEnum
from typing import Final

MOST_TAGGED: Final = 200
"""Pages of the longest document that is tagged. A page of a table takes twice as long with tags, and 35 KiB where it took 3:
the standard has each cell stand in the file as an object of its own."""


class Role(StrEnum):
    """What a part of a document is, by the standard's own names."""

    TITLE = "H1"
    SECTION = "H2"
    PARAGRAPH = "P"
    TABLE = "Table"
    ROW = "TR"
    HEAD = "TH"
    CELL = "TD"
    FIGURE = "Figure"
    """What is seen and not read; it is told in words of its own."""
