"""What one check came to, with its arithmetic and source."""

from decimal import Decimal

from msgspec import Struct

from appreg.core.records.appliances import Fact
from appreg.core.records.checks import Check
from appreg.core.values.outcomes import CheckResult


class Finding(Struct, frozen=True, kw_only=True):
    """What one check came to, with its arithmetic and source in one line each."""

    check: Check
    reading: str
    """As typed; 'ok', 'bad' or '' for checks without a figure."""
    unit: str
    limit_low: Decimal | None
    limit_high: Decimal | None
    comparison: str
    """'<=', '>=', 'between' or ''."""
    result: CheckResult
    arithmetic: str
    source: str
    basis: str
    readings: tuple[str, ...] = ()
    """All that stand side by side, as typed, `reading` the worst of them; empty where there is one alone."""
    assumed: tuple[Fact, ...] = ()
    """The assumed facts that it rests on: confirmed, it could be another."""
    left_out: str = ""
    """Why a check that is not done was left out, where the rule book lets it be; empty otherwise."""
