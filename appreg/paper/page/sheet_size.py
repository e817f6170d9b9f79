"""The sizes of sheets that documents are drawn on."""

from enum import StrEnum


class SheetSize(StrEnum):
    """ISO 216."""

    A4 = "a4"
    A5 = "a5"

    @property
    def width(self) -> float:
        """Of the upright sheet, mm."""
        return 210.0 if self is SheetSize.A4 else 148.0

    @property
    def height(self) -> float:
        """Of the upright sheet, mm."""
        return 297.0 if self is SheetSize.A4 else 210.0
