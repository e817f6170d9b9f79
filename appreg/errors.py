"""The failures a person can cause or meet; each is one sentence that says what, where, and what to do."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

PUT_BACK: Final = "`appreg restore` puts a kept copy in its place"
"""What a person can do about a damaged register, as the end of a sentence."""


class AppregError(Exception):
    """A failure told to the person as one sentence; caught once, at the edge."""

    exit_code = 2


class InputRefused(AppregError):
    """Something typed or read from a file cannot be accepted as it stands."""

    def __init__(self, problem: str, *, subject: str = "", field: str = "") -> None:
        """Say what is wrong, after what it is said of where a `subject` is given.

        `field` names what was asked for, as the record or the task calls it, so that whoever asked can point at it.
        """
        super().__init__(f"{subject}: {problem}" if subject else problem)
        self.problem = problem
        """The sentence without its subject."""
        self.field = field


@contextmanager
def asked_for(field: str) -> Iterator[None]:
    """What is refused within was asked for by that name, unless something nearer is named already."""
    try:
        yield
    except InputRefused as refusal:
        refusal.field = refusal.field or field
        raise


class QueryRefused(InputRefused):
    """What was typed to search a list has a key that the list has not, or a value that cannot be."""


class FileThere(InputRefused):
    """A file is there already, where one is to be written; a command that may go over it can be told to."""


class RegisterKept(InputRefused):
    """A register is not built anew, as somebody works in it; it can be opened as it is."""


class UsageRefused(AppregError):
    """A command was called with options that do not go together."""


class NotFound(AppregError):
    """Nothing in the register answers to what was asked for."""

    exit_code = 1


class Incomplete(AppregError):
    """Something the task needs is missing; the sentence names it."""

    exit_code = 3


class RegisterUnusable(AppregError):
    """The register file cannot be opened, read or trusted."""

    exit_code = 1


class PrintingRefused(AppregError):
    """No printer takes anything, or not this: nothing counts as printed."""

    exit_code = 1


class FaultMet(AppregError):
    """The program itself went wrong; the sentence says what is safe and where a report is kept."""

    exit_code = 1
