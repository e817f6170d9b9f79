"""Trip times of residual current devices in leads and plugs."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Final

from appreg.core.records.appliances import ItemFacts
from appreg.core.records.checks import Check
from appreg.core.rules.limits import Limit, NoLimit, terse
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.rule_values import joined
from appreg.core.values.readings import Unit

RCD_CHECKS: Final[Mapping[Check, str]] = {
    Check.RCD_HALF: "0.5x",
    Check.RCD_1X: "1x",
    Check.RCD_2X: "2x",
    Check.RCD_5X: "5x",
}
"""By check: the multiple of the rated residual current it is done at."""


def rcd_limit(check: Check, facts: ItemFacts, book: RuleBook) -> Limit | NoLimit:
    """Between which times, ms, the device must trip; at half the rated current: from when it may."""
    if check is Check.RCD_HALF:
        return _half(book)
    if facts.rcd is None:
        return NoLimit("the kind of RCD is not stated, so no trip time can be judged")
    times = RCD_CHECKS[check]
    if facts.rcd_delay_ms and book.find(f"rcd.{facts.rcd}.delay-high"):
        return _delayed(times, facts, facts.rcd_delay_ms, book)
    least, most = (book.find(f"rcd.{facts.rcd}.{times}.{end}") for end in ("least", "most"))
    if most is None:
        return NoLimit(f"rule book {book.id} gives no {times} trip time for an RCD of kind {facts.rcd}")
    span = f"{least.shown} to {most.shown} ms" if least else f"{most.shown} ms"
    return Limit(
        low=least.number if least else None,
        high=most.number,
        unit=Unit.MILLISECOND,
        arithmetic=f"{most.title} {most.condition}: {span}",
        citation=joined(figure.citation for figure in (least, most) if figure),
    )


def has_trip_times(facts: ItemFacts, book: RuleBook) -> bool:
    """Tell whether the book times devices of the item's kind."""
    return facts.rcd is not None and book.find(f"rcd.{facts.rcd}.1x.most") is not None


def _half(book: RuleBook) -> Limit:
    least = book.figures["rcd.half.least"]
    return Limit(
        low=least.number,
        high=None,
        unit=Unit.MILLISECOND,
        arithmetic=f"must not trip within {least.shown} ms at 0.5 × IΔn",
        citation=least.citation,
    )


def _delayed(times: str, facts: ItemFacts, delay: Decimal, book: RuleBook) -> Limit | NoLimit:
    kind = facts.rcd
    low, high, base = (book.figures[f"rcd.{kind}.{name}"] for name in ("delay-low", "delay-high", "1x.most"))
    if times != RCD_CHECKS[Check.RCD_1X]:
        return NoLimit(f"rule book {book.id} gives no {times} trip time for a delayed RCD of kind {kind}")
    ends = [base.number + share.number * delay for share in (low, high)]
    shares = f"{terse(low.number * 100)} to {terse(high.number * 100)} %"
    return Limit(
        low=ends[0],
        high=ends[1],
        unit=Unit.MILLISECOND,
        arithmetic=f"{base.shown} ms + {shares} of {terse(delay)} ms = {terse(ends[0])} to {terse(ends[1])} ms",
        citation=joined((base.citation, low.citation, high.citation)),
    )
