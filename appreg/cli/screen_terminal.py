"""Tell, before anything is opened or made, whether there is a terminal that the screens can be drawn on."""

import os
import sys
from collections.abc import Mapping
from typing import Final, TextIO

from appreg.errors import UsageRefused

_CANNOT_DRAW: Final = frozenset({"", "dumb", "unknown"})
"""Values of TERM that promise nothing: the screens need a terminal that places text."""
_INSTEAD: Final = (
    "without a screen there are `appreg due`, `appreg list items`, `appreg inspect TAG` and the other commands "
    "(`appreg --help`)"
)


def need_terminal(environ: Mapping[str, str], *, windows: bool = os.name == "nt") -> None:
    """Raise UsageRefused, in one sentence, where the screens cannot be drawn or keys cannot be read."""
    streams = (("input", sys.stdin), ("output", sys.stdout), ("error", sys.stderr))
    missing = [name for name, stream in streams if not _is_terminal(stream)]
    if missing:
        raise UsageRefused(f"The screen needs a terminal, and standard {missing[0]} is none; {_INSTEAD}.")
    kind = environ.get("TERM", "")
    if not windows and kind in _CANNOT_DRAW:
        told = f"TERM is {kind}" if kind else "TERM is not set"
        raise UsageRefused(f"The screen needs a terminal that places text, and {told}; {_INSTEAD}.")


def _is_terminal(stream: TextIO | None) -> bool:
    try:
        return stream is not None and stream.isatty()
    except ValueError:  # it was closed
        return False
