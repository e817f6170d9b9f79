"""The limit that a reading is compared with, its arithmetic spelled out and its source beside it."""

from decimal import Decimal

from msgspec import Struct

from appreg.core.rules.rule_values import Citation
from appreg.core.values.readings import Unit


class Limit(Struct, frozen=True, kw_only=True):
    """Between what a reading must lie in order to pass; both ends belong to it."""

    low: Decimal | None
    high: Decimal | None
    unit: Unit
    arithmetic: str
    citation: Citation

    @property
    def comparison(self) -> str:
        """'<=', '>=' or 'between'."""
        if self.low is not None and self.high is not None:
            return "between"
        return "<=" if self.high is not None else ">="


class NoLimit(Struct, frozen=True):
    """The rule book gives no limit for this measurement; the reason in one sentence without its full stop."""

    reason: str


def terse(number: Decimal) -> str:
    """A number without exponent and without idle zeros."""
    return f"{number.normalize():f}"


def tidy(number: Decimal) -> Decimal:
    """The same number without idle zeros, as it is kept and printed."""
    return Decimal(terse(number))
