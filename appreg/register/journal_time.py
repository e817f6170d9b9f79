"""The time of the journal's last line, for those who must not wait for what only writing needs."""

import sqlite3
from datetime import UTC, datetime, timedelta
from typing import Final

from appreg.clock import Instant

_EPOCH: Final = datetime(1970, 1, 1, tzinfo=UTC)


def last_time(connection: sqlite3.Connection) -> str | None:
    """The stamp of the journal's last line, of whatever origin; None where there is no line."""
    times: tuple[str | None] = connection.execute(
        "SELECT max(j.time) FROM register_meta m JOIN journal j "
        "ON j.origin = substr(m.key, 6) AND j.sequence = CAST(m.value AS INTEGER) WHERE m.key GLOB 'head:*'"
    ).fetchone()
    return times[0]


def instant_of(time: str) -> Instant:
    """The instant of a stamp, without its counter; raises ValueError when it is not one."""
    return Instant((datetime.fromisoformat(time[:23] + "+00:00") - _EPOCH) // timedelta(milliseconds=1))
