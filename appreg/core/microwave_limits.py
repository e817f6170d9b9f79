"""Leakage of microwaves from an oven."""

from appreg.core.limits import Limit, terse
from appreg.core.readings import Unit
from appreg.core.rule_book import RuleBook
from appreg.core.rule_values import joined


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
