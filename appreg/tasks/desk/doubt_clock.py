"""Doubt this machine's clock where the journal contradicts it."""

from datetime import datetime
from typing import Final

from appreg.clock import Instant
from appreg.core.values.dates_in_words import date_words

SLACK: Final = 60_000
"""Milliseconds a clock may stand behind the journal unsaid: two laptops set by hand agree no better, and no day is wrong by it."""
_DAY: Final = 86_400_000


def clock_behind(last: Instant | None, now: Instant) -> str:
    """What to say where the clock stands behind the journal's last line; empty where it does not."""
    if last is None or last - now <= SLACK:
        return ""
    return (
        f"This machine's clock says {_words(now)}, but the last change in this register is of {_words(last)}. If it is this "
        "clock that is wrong, set it right before you go on: what is recorded counts as later all the same, but bears a "
        "wrong date."
    )


def clock_ahead(last: Instant | None, now: Instant) -> str:
    """What to say where the last change is more than a day ago; empty where it is not. It need not mean anything."""
    if last is None or now - last <= _DAY:
        return ""
    days = (now - last) // _DAY
    ago = "more than a day" if days == 1 else f"{days} days"
    return (
        f"By this machine's clock it is {_words(now)}, {ago} after the last change in this register "
        f"({_words(last)}). If that cannot be, set the clock right before you go on."
    )


def _words(instant: Instant) -> str:
    moment = datetime.fromtimestamp(instant / 1000).astimezone()
    return f"{date_words(moment.date())} {moment:%H:%M}"
