"""The sizes of sheets that documents are drawn on."""

from enum import StrEnum

from appreg.errors import InputRefused


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


def sheet_size_named(typed: str, usual: SheetSize) -> SheetSize:
    """The size a person typed, the usual one where nothing is typed; raises InputRefused naming the sizes."""
    wanted = typed.strip().casefold()
    if not wanted:
        return usual
    if wanted not in {each.value for each in SheetSize}:
        raise InputRefused(f"“{typed}” is no size of sheet here; write a4 or a5.", field="size")
    return SheetSize(wanted)
