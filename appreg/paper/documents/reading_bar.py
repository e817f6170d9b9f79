"""A reading as a thin bar against its limit, where a bar can say nothing else than the finding."""

from decimal import Decimal
from typing import Final

from appreg.core.judging.methods import left_out_because
from appreg.core.records.kept_records import FindingRecord
from appreg.core.values.outcomes import CheckResult
from appreg.core.values.readings import Comparator, Reading, Unit, parse_reading
from appreg.errors import InputRefused
from appreg.paper.page.limit_bar import LimitShare, limit_bar
from appreg.paper.page.text_blocks import Block

BAR_LEGEND: Final = (
    "Bars: how much of its limit a reading uses up. The line across is the limit, what lies beyond it is beyond the limit; "
    "of an insulation resistance, which has to be high, the short bar is the good one. Dashed: as far as the reading may go, "
    "by its sign < or > or by the uncertainty of the instrument. There is no bar where one figure does not decide."
)
_UNITS: Final = frozenset(unit.value for unit in Unit)


def reading_bar(finding: FindingRecord, width: float) -> Block:
    """Return the bar of a finding in a column of a width, mm; an empty block where there is none to draw."""
    share = share_of(finding)
    return Block(0.0) if share is None else limit_bar(share, width)


def share_of(finding: FindingRecord) -> LimitShare | None:
    """How much of its limit a reading uses up.

    None without figure or limit, and where the figure alone does not tell what the finding was, say of one that was referred.
    """
    reading = reading_of(finding)
    if reading is None:
        return None
    least, most = bounds_of(reading, finding)
    low, high = finding.limit_low, finding.limit_high
    if high is not None and high > 0:
        other = low / high if low is not None and low > 0 else None
        share = LimitShare(least=least / high, most=None if most is None else most / high, other=other)
    elif low is not None and low > 0:
        share = LimitShare(
            least=Decimal(0) if most is None else low / most if most else Decimal("Infinity"),
            most=low / least if least else None,
        )
    else:
        return None
    return share if _agrees(share, finding) else None


def reading_of(finding: FindingRecord) -> Reading | None:
    """The figure that decided a finding; None where it has none that can be read."""
    if finding.unit not in _UNITS or left_out_because(finding.method):
        return None
    try:
        return parse_reading(finding.reading, Unit(finding.unit))
    except InputRefused:
        return None


def bounds_of(reading: Reading, finding: FindingRecord) -> tuple[Decimal, Decimal | None]:
    """Between what the figure may lie, its uncertainty considered; None: nothing bounds it."""
    value, spread = reading.value, finding.uncertainty or Decimal(0)
    if value is None:
        return _beyond_range(finding), None
    if reading.comparator is Comparator.LESS:
        return Decimal(0), value + spread
    least = max(value - spread, Decimal(0))
    return least, None if reading.comparator is Comparator.GREATER else value + spread


def _beyond_range(finding: FindingRecord) -> Decimal:
    """What an overrange display surely says: no less than the limit, where that is what the finding took it for."""
    bound = finding.limit_low if finding.limit_high is None else finding.limit_high
    return Decimal(0) if bound is None or finding.finding == CheckResult.INCONCLUSIVE else bound


def _agrees(share: LimitShare, finding: FindingRecord) -> bool:
    """Tell whether a bar says what the finding says: a pass lies within the limits, a failure not surely so."""
    above = share.other is None or share.least > share.other
    may_be_within = share.least <= 1 and (share.other is None or share.most is None or share.most >= share.other)
    surely_within = above and share.most is not None and share.most < 1
    if finding.finding == CheckResult.PASS:
        return may_be_within
    if finding.finding == CheckResult.FAIL:
        return not surely_within
    return finding.finding == CheckResult.INCONCLUSIVE
