"""One door to the limit of any measured check, that of microwave leakage among them."""

from collections.abc import Callable, Mapping
from typing import Final

from appreg.core.records.appliances import ItemFacts
from appreg.core.records.checks import Check, LeakageMethod
from appreg.core.rules.earth_limits import earth_limit
from appreg.core.rules.insulation_limits import insulation_limit
from appreg.core.rules.leakage_limits import leakage_limit
from appreg.core.rules.limits import Limit, NoLimit, terse
from appreg.core.rules.rcd_limits import RCD_CHECKS, rcd_limit
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.rule_values import joined
from appreg.core.rules.second_lines import LINE_OF, second_limit
from appreg.core.values.readings import Unit
from appreg.errors import InputRefused


def microwave_limit(book: RuleBook) -> Limit:
    """The highest power density outside the oven, mW/cm²."""
    most, si, distance, load, tolerance, beaker = (
        book.figures[f"microwave.{name}"]
        for name in ("most", "most-si", "distance", "load", "load-tolerance", "beaker")
    )
    return Limit(
        low=None,
        high=most.number,
        unit=Unit.MILLIWATT_PER_CM2,
        arithmetic=(
            f"{terse(most.number)} mW/cm² = {si.shown} W/m² at {distance.shown} mm or more, "
            f"{load.shown} ± {tolerance.shown} ml water in a {beaker.shown} ml beaker"
        ),
        citation=joined((most.citation, load.citation)),
    )


UNIT_OF_CHECK: Final[Mapping[Check, Unit]] = {
    Check.EARTH_CONTINUITY: Unit.OHM,
    Check.INSULATION: Unit.MEGOHM,
    Check.LEAKAGE: Unit.MILLIAMP,
    **{check: Unit.MEGOHM if check is line.insulation else Unit.MILLIAMP for check, line in LINE_OF.items()},
    **dict.fromkeys(RCD_CHECKS, Unit.MILLISECOND),
    Check.MICROWAVE: Unit.MILLIWATT_PER_CM2,
}
"""By measured check: the unit its readings are compared in."""

_LIMITS: Final[Mapping[Check, Callable[[ItemFacts, RuleBook], Limit | NoLimit]]] = {
    Check.EARTH_CONTINUITY: earth_limit,
    Check.INSULATION: insulation_limit,
    Check.MICROWAVE: lambda _facts, book: microwave_limit(book),
}


def limit_of(
    check: Check, facts: ItemFacts, book: RuleBook, method: LeakageMethod | None = None
) -> Limit | NoLimit | None:
    """The limit of a check, or why there is none; None for checks without a figure.

    What a limit refuses (a conductor size of no table, a flat limit not in use) is a reason too.
    """
    if check is Check.LEAKAGE:
        return leakage_limit(facts, book, method)
    if check in RCD_CHECKS:
        return rcd_limit(check, facts, book)
    if check in LINE_OF:
        return second_limit(check, book)
    if check not in _LIMITS:
        return None
    try:
        return _LIMITS[check](facts, book)
    except InputRefused as refusal:
        return NoLimit(str(refusal).rstrip("."))
