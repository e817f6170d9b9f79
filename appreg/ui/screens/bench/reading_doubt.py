"""How far a reading can be trusted beside its limit, as the bench says it."""

from decimal import ROUND_HALF_UP, Decimal
from typing import Final

from appreg.core.checks import Entries
from appreg.core.findings import Finding
from appreg.core.instrument_accuracy import InstrumentAccuracy
from appreg.core.lean_dataclasses import dataclass
from appreg.core.limits import terse
from appreg.core.readings import Unit, parse_reading
from appreg.core.uncertainty import Zone, conformance_probability
from appreg.tasks.state_uncertainty import stated_uncertainty

_SHOWN_TO: Final = Decimal("0.0001")
_WHOLE: Final = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingDoubt:
    """The uncertainty of one reading and what it means for the verdict."""

    value: Decimal
    expanded: Decimal
    """Expanded uncertainty, k = 2, in the unit of the reading."""
    zone: Zone
    probability: float
    """That the true value meets the limit."""
    unit: str

    @property
    def band(self) -> tuple[Decimal, Decimal]:
        """The reading less and plus its uncertainty."""
        return max(Decimal(0), self.value - self.expanded), self.value + self.expanded

    @property
    def words(self) -> str:
        """Uncertainty and conformance in one line."""
        shown = terse(self.expanded.quantize(_SHOWN_TO, rounding=ROUND_HALF_UP))
        sure = f"{min(99.9, max(0.1, self.probability * _WHOLE)):.3g} % sure it meets the limit"
        close = "close to the limit, " if self.zone.is_close else ""
        return f"{close}U {shown} {self.unit}, {sure}"


def reading_doubt(finding: Finding, entries: Entries, stated: InstrumentAccuracy) -> ReadingDoubt | None:
    """The doubt about a plain reading, where the instrument states its accuracy for it."""
    expanded, zone = stated_uncertainty(finding, entries, stated)
    if expanded is None:
        return None
    value = parse_reading(finding.reading, Unit(finding.unit)).value
    if value is None:
        return None
    probability = conformance_probability(value, expanded, low=finding.limit_low, high=finding.limit_high)
    return ReadingDoubt(value=value, expanded=expanded, zone=Zone(zone), probability=probability, unit=finding.unit)
