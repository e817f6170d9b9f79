"""How long work tells how far it is, and how a person stops it: one way for all of it."""

from collections.abc import Callable

from appreg.errors import AppregError

Progress = Callable[[int, int], bool]
"""Told how much of how much is done; an answer of False asks the work to stop."""


class Stopped(AppregError):
    """The person stopped the work; nothing of it was kept, unless the sentence says what."""

    exit_code = 3


def tell(progress: Progress | None, done: int, total: int, stopped: str) -> None:
    """Say how far the work is; raises Stopped with a sentence where it is to stop."""
    if progress is not None and not progress(done, total):
        raise Stopped(stopped)


def shared(progress: Progress | None, start: int, stop: int) -> Progress:
    """A progress that fills a part of the whole one, in hundredths; each part has its own sentence where it is stopped."""
    return lambda done, total: progress is None or progress(start + (stop - start) * done // max(total, 1), 100)
