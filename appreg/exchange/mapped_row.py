"""One line of a table from elsewhere, by the names of our fields."""

from msgspec import Struct

from appreg.exchange.file_problems import FileProblem


class MappedRow(Struct, frozen=True, kw_only=True, gc=False):
    """What one line says, as a person would type it, and what of it cannot be read."""

    line: int
    """Where it begins in the source, from 1."""
    values: dict[str, str]
    """By field name; what is empty is not there."""
    problems: tuple[FileProblem, ...] = ()
    """Cells that cannot be read: their fields are not among the values."""
