"""Where files of typefaces are asked for that a person named, once a character is drawn that the usual one lacks."""

from collections.abc import Callable, Sequence
from pathlib import Path

_sources: list[Callable[[], Sequence[Path]]] = []


def typefaces_from(source: Callable[[], Sequence[Path]]) -> None:
    """Ask here from now on."""
    _sources[:] = [source]


def named_typefaces() -> tuple[Path, ...]:
    """The files named, in the order in which they are looked through."""
    return tuple(path for source in _sources for path in source())
