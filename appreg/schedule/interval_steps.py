"""The lengths people choose among when an interval is made longer or shorter."""

from typing import Final

from appreg.core.periods import Period

# Common practice: the figures that the published tables use, and the halves and doubles between them.
STEPS: Final = (
    Period(days=1),
    Period(days=7),
    Period(months=1),
    Period(months=3),
    Period(months=6),
    Period(months=12),
    Period(months=18),
    Period(months=24),
    Period(months=36),
    Period(months=48),
    Period(months=60),
)


def longer_than(period: Period) -> Period | None:
    """The next longer step; None beyond the last."""
    return next((step for step in STEPS if step > period), None)


def shorter_than(period: Period) -> Period | None:
    """The next shorter step; None below the first."""
    return next((step for step in reversed(STEPS) if step < period), None)
