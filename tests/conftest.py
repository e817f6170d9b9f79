"""What holds for every test: how many run side by side, and which come first."""

import gc
import os
from pathlib import Path

import pytest

_WAITING = 2
"""Tests of the screens sleep for half of their time, until the program stands still; so each processor runs two."""
_LONGEST_FIRST = ("terminal", "ui")
"""Folders whose tests take long: the quick ones after them keep every processor at work until the end."""


def pytest_xdist_auto_num_workers() -> int:
    """Answer `-n auto`."""
    return _WAITING * (os.cpu_count() or 1)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put the long tests first, otherwise in the order they are written in."""
    items.sort(key=lambda item: _turn(item.path))


def _turn(path: Path) -> int:
    folder = path.relative_to(Path(__file__).parent).parts[0]
    return _LONGEST_FIRST.index(folder) if folder in _LONGEST_FIRST else len(_LONGEST_FIRST)


def pytest_collection_finish() -> None:
    """Leave what was imported and collected to itself: nothing of it becomes garbage, and each search would look through it."""
    gc.collect()
    gc.freeze()
