"""Earth continuity: the limit for a cord, a flat limit, and readings referred to 20 °C."""

from decimal import ROUND_CEILING, Decimal

from msgspec.structs import replace

from appreg.core.records.appliances import Cord, ItemFacts
from appreg.core.rules.limits import Limit, terse, tidy
from appreg.core.rules.rule_book import Figure, RuleBook
from appreg.core.rules.rule_keys import csa_key, csa_of
from appreg.core.rules.rule_values import joined
from appreg.core.values.readings import Reading, Unit
from appreg.errors import InputRefused

_MILLI = Decimal("0.001")


def earth_limit(facts: ItemFacts, book: RuleBook) -> Limit:
    """The highest resistance from plug earth pin to exposed metal, Ω.

    Raises InputRefused for a conductor size that no table gives, or a flat limit that the book does not offer.
    """
    cord = facts.cord
    if cord is not None and _in_steps(cord, facts, book):
        return _stepped(cord, book)
    base = book.find("earth.plus-cord")
    if cord is not None and base is not None:
        return _with_cord(cord, base, book)
    return _flat(facts, book)


def conductor(cord: Cord, book: RuleBook) -> Figure:
    """The resistance of the cord's conductor, mΩ/m at 20 °C; raises InputRefused naming the sizes there are."""
    kind = "tinned" if cord.tinned else "plain"
    figure = book.find(f"conductor.{kind}.{csa_key(cord.csa_mm2)}")
    if figure is None:
        listed = ", ".join(terse(size) for size in conductor_sizes(kind, book))
        raise InputRefused(
            f"No {kind} conductor of {terse(cord.csa_mm2)} mm² is in the table; choose from {listed} mm²."
        )
    return figure


def cord_resistance(cord: Cord, book: RuleBook) -> Decimal:
    """The resistance of the cord's protective conductor, Ω at 20 °C."""
    return conductor(cord, book).number * cord.length_m * _MILLI


def at_reference(reading: Reading, celsius: Decimal, book: RuleBook) -> tuple[Reading, str]:
    """A reading referred to the tables' temperature, with its arithmetic.

    Raises InputRefused for a temperature outside the range that the correction is given for.
    """
    coefficient, reference, span = (
        book.figures[f"conductor.temperature.{name}"] for name in ("coefficient", "reference", "range")
    )
    if not min(span.numbers) <= celsius <= max(span.numbers):
        ends = f"{terse(min(span.numbers))} to {terse(max(span.numbers))}"
        raise InputRefused(f"Conductor temperature {terse(celsius)} °C lies outside {ends} °C, where the factors hold.")
    if reading.value is None:
        return reading, ""
    factor = 1 + coefficient.number * (celsius - reference.number)
    referred = reading.value / factor
    sign = "" if reading.comparator.value == "=" else reading.comparator.value
    text = f"{sign}{reading.value:f} Ω / {terse(factor)} = {sign}{terse(round(referred, 4))} Ω at {reference.shown} °C"
    return replace(reading, value=referred), text


def conductor_sizes(kind: str, book: RuleBook) -> list[Decimal]:
    """The sizes that the table of a kind, plain or tinned, gives a resistance for, mm², the thinnest first."""
    start = f"conductor.{kind}."
    sizes = (csa_of(key.removeprefix(start)) for key in book.figures if key.startswith(start))
    return sorted(size for size in sizes if size is not None)


def _with_cord(cord: Cord, base: Figure, book: RuleBook) -> Limit:
    per_metre = conductor(cord, book)
    high = tidy(base.number + cord_resistance(cord, book))
    return Limit(
        low=None,
        high=high,
        unit=Unit.OHM,
        arithmetic=f"{base.shown} + {per_metre.shown} mΩ/m × {cord.length_m:f} m = {terse(high)} Ω",
        citation=joined((base.citation, per_metre.citation)),
    )


def _in_steps(cord: Cord, facts: ItemFacts, book: RuleBook) -> bool:
    csa, current = book.find("earth.steps.csa-up-to"), book.find("earth.steps.current-up-to")
    if csa is None or cord.csa_mm2 > csa.number:
        return False
    return current is None or facts.rated_current_a is None or facts.rated_current_a <= current.number


def _stepped(cord: Cord, book: RuleBook) -> Limit:
    first, reach, each, length, most = (
        book.figures[f"earth.steps.{name}"] for name in ("first", "first-length", "each", "each-length", "most")
    )
    beyond = max(Decimal(0), cord.length_m - reach.number)
    steps = (beyond / length.number).to_integral_value(rounding=ROUND_CEILING)
    reckoned = first.number + steps * each.number
    high = tidy(min(reckoned, most.number))
    if not steps:
        text = f"{first.shown} Ω up to {reach.shown} m (cord {cord.length_m:f} m)"
    else:
        capped = f", at most {most.shown} Ω" if reckoned > most.number else ""
        text = f"{first.shown} + {steps} × {each.shown} = {terse(reckoned)} Ω{capped} (cord {cord.length_m:f} m)"
    return Limit(low=None, high=high, unit=Unit.OHM, arithmetic=text, citation=first.citation)


def _flat(facts: ItemFacts, book: RuleBook) -> Limit:
    flat, options = book.figures["earth.flat"], book.find("earth.flat-options")
    high, chosen = flat.number, ""
    if options is not None and facts.flat_earth_limit_ohm is not None:
        if facts.flat_earth_limit_ohm not in options.numbers:
            raise InputRefused(
                f"A flat earth limit of {terse(facts.flat_earth_limit_ohm)} Ω is not in use; choose from {options.shown} Ω."
            )
        high, chosen = facts.flat_earth_limit_ohm, ", chosen"
    if book.find("earth.plus-cord") is None:
        return Limit(
            low=None, high=high, unit=Unit.OHM, arithmetic=f"{terse(high)} Ω, {flat.condition}", citation=flat.citation
        )
    text = f"flat limit {terse(high)} Ω{chosen}: cord size or length not known"
    cited = options.citation if chosen and options is not None else flat.citation
    return Limit(low=None, high=high, unit=Unit.OHM, arithmetic=text, citation=cited)
