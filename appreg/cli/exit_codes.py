"""What a command tells its caller."""

from enum import IntEnum


class ExitCode(IntEnum):
    """The exit codes of every command."""

    FINE = 0
    FOUND_WRONG = 1
    """A failed item, a damaged register, or nothing that answers."""
    REFUSED = 2
    """Bad usage or bad input."""
    INCOMPLETE = 3
    """Something needed is missing, or the person stopped it."""
