"""The lines of a long Due list: the first at once, all of them once a thread has read and arranged them."""

from collections.abc import Callable, Sequence

from appreg.register.register_file import Register
from appreg.tasks.due_lines import DueLine
from appreg.ui.screens.due.due_columns import DUE_COLUMNS, key_of
from appreg.ui.widgets.row_sources import Arrangement, MemoryRows, RowView

Read = Callable[[Register], Sequence[DueLine]]


class DueRows:
    """Lines read from a register when they are first asked for."""

    slow = True

    def __init__(self, register: Register, *, first: Read, every: Read) -> None:
        """`first` reads the lines of the first screen, `every` all of them, in a thread."""
        self._register = register
        self._first = first
        self._every = every
        self._opening: MemoryRows[DueLine] | None = None
        self._rows: MemoryRows[DueLine] | None = None

    def item(self, key: str) -> DueLine | None:
        """Return the line behind a key."""
        rows = self._rows or self._opening
        return None if rows is None else rows.item(key)

    def opening(self, arrangement: Arrangement) -> RowView | None:
        """Return the first lines, soonest first."""
        if arrangement != Arrangement():
            return None
        lines = self._first(self._register)
        self._opening = MemoryRows(DUE_COLUMNS, lines, key=key_of)
        return self._opening.arranged(arrangement) if lines else None

    def arranged(self, arrangement: Arrangement) -> RowView:
        """Return all lines in the order asked for that hold the words typed."""
        rows = self._rows
        if rows is None:
            with self._register.reopen() as own:
                rows = MemoryRows(DUE_COLUMNS, self._every(own), key=key_of)
            self._rows = rows
        return rows.arranged(arrangement)
