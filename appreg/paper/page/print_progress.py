"""How long printing tells where it is, and how it is stopped."""

from collections.abc import Callable

from appreg.errors import AppregError

Progress = Callable[[int, int], bool]
"""Called with (done, total); an answer of False stops the printing."""


class PrintingCancelled(AppregError):
    """The person stopped the printing; no file was written."""

    exit_code = 3


def tell(progress: Progress | None, done: int, total: int) -> None:
    """Report how far printing is; raises PrintingCancelled when told to stop."""
    if progress is not None and not progress(done, total):
        raise PrintingCancelled(
            f"Printing stopped after {done} of {total}; no file was written, print again when ready."
        )
