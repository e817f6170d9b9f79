"""No test waits for the disk: what is written is there for every process at once, and only a power cut tells the difference."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

import pytest

from appreg.register.engine import file_opening

_AS_BUILT: Final = file_opening._PRAGMAS
_UNSYNCED: Final = tuple(each.replace("synchronous = FULL", "synchronous = OFF") for each in _AS_BUILT)


@contextmanager
def unsynced_disk() -> Iterator[None]:
    """Within this process; programs that it starts, kills and looks at wait as everywhere."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(file_opening, "_PRAGMAS", _UNSYNCED)
        patch.setattr(os, "fsync", lambda _handle: None)
        yield


@pytest.fixture(scope="session", autouse=True)
def _nothing_waits_for_the_disk() -> Iterator[None]:
    with unsynced_disk():
        yield


@pytest.fixture
def waits_for_the_disk(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ask for this in a test of what waits for the disk."""
    monkeypatch.setattr(file_opening, "_PRAGMAS", _AS_BUILT)
