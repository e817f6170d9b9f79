"""What holds for every test: how many run side by side."""

import os

_WAITING = 2
"""Tests of the screens sleep for half of their time, until the program stands still; so each processor runs two."""


def pytest_xdist_auto_num_workers() -> int:
    """Answer `-n auto`."""
    return _WAITING * (os.cpu_count() or 1)
