"""The one place that knows what time it is; everything else is told."""

from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import NewType

Instant = NewType("Instant", int)
"""Milliseconds since 1970-01-01 UTC."""

Clock = Callable[[], Instant]


def system_clock() -> Instant:
    """The present instant by this machine's clock."""
    return Instant(int(datetime.now(tz=UTC).timestamp() * 1000))


def local_today() -> date:
    """Today's date where this machine stands."""
    return datetime.now().astimezone().date()


def local_minute() -> str:
    """The time of day where this machine stands, HH:MM."""
    return datetime.now().astimezone().strftime("%H:%M")
