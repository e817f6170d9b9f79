"""Advice on plug fuse, flex and the length of a lead."""

from collections.abc import Iterator
from decimal import Decimal
from typing import Final

from msgspec.structs import replace

from appreg.core.records.appliances import Connection, Cord, Fact, ItemFacts
from appreg.core.rules.limits import terse
from appreg.core.rules.rule_book import Figure, RuleBook
from appreg.core.rules.rule_keys import csa_key
from appreg.core.rules.rule_values import cited

_WATTS_IN_KW: Final = Decimal(1000)
_MAINS_VOLTS: Final = 230
_BETWEEN_LINES: Final = 300
"""A rated voltage above this is one between lines (common practice)."""
_ON_A_FLEX: Final = frozenset({Connection.PLUG, Connection.INDUSTRIAL})
_ROOT_3: Final = Decimal("1.732")


def fuse_advice(facts: ItemFacts, book: RuleBook) -> Iterator[str]:
    """Sentences on the plug fuse for the power, the fuse found, and the load on the flex.

    None where there is no plug fuse, and none on what only a category says: nobody has found that.
    """
    if not facts.equipment_type.is_lead:
        yield from _load_on_flex(facts, book)
    if not has_plug_fuse(facts, book) or Fact.FUSE in facts.assumed:
        return
    wanted = None if facts.equipment_type.is_lead or Fact.POWER in facts.assumed else _wanted(facts, book)
    if wanted is not None and facts.power_kw is not None:
        yield from _for_power(facts, facts.power_kw * _WATTS_IN_KW, wanted, book)
    if facts.fuse_a is not None:
        yield from _existing(facts, facts.fuse_a, book)
        yield from _against_flex(facts, facts.fuse_a, book)


def fuse_to_fit(facts: ItemFacts, book: RuleBook) -> Decimal | None:
    """The plug fuse that takes the place of the one found, A; None where nobody has read it, or it is not too large.

    Of an appliance by its power and its cord, of a lead by its flex; the smallest where several hold.
    """
    found = facts.fuse_a
    if found is None or Fact.FUSE in facts.assumed or not has_plug_fuse(facts, book):
        return None
    lead = facts.equipment_type.is_lead
    wanted = [_lead_fuse(facts, book)] if lead else [_power_fuse(facts, book), _cord_fuse(facts, book)]
    return min((each for each in wanted if each is not None and each < found), default=None)


def _lead_fuse(facts: ItemFacts, book: RuleBook) -> Decimal | None:
    """The largest fuse that is made and that the flex of a lead carries."""
    carries, sizes = flex_carries(facts, book, fused=True), book.find("fuse.sizes")
    if carries is None or sizes is None or not lead_fuse_fault(facts, book):
        return None
    return max((each for each in sizes.numbers if each <= carries.number), default=None)


def _power_fuse(facts: ItemFacts, book: RuleBook) -> Decimal | None:
    """The fuse for the power of an appliance, where it can be plugged in at all."""
    wanted, most = _wanted(facts, book), book.find("fuse.plug-up-to")
    if wanted is None or facts.power_kw is None or Fact.POWER in facts.assumed:
        return None
    return None if most is not None and facts.power_kw * _WATTS_IN_KW > most.number else wanted.number


def _cord_fuse(facts: ItemFacts, book: RuleBook) -> Decimal | None:
    """The largest fuse that the plug standard allows before the cord of an appliance."""
    allowed = None if facts.cord is None else book.find(f"flex.fuse.{csa_key(facts.cord.csa_mm2)}")
    return None if allowed is None or Fact.CORD_SIZE in facts.assumed else allowed.number


def has_plug_fuse(facts: ItemFacts, book: RuleBook) -> bool:
    """Tell whether there is a fuse in the plug of such an item: fused plugs are for single-phase mains alone."""
    fused = book.find("plug.fused")
    mains = facts.rated_volts is None or book.figures["plug.mains-from"].number <= facts.rated_volts < _BETWEEN_LINES
    plugged = facts.connection is Connection.PLUG and facts.phases == 1
    return fused is not None and fused.words == ("fused",) and plugged and mains


def lead_fuse_fault(facts: ItemFacts, book: RuleBook) -> str:
    """Why the fuse of a lead is too large for its flex, as both stand; empty where it is not."""
    # The exception for a short flex is not granted on a length that nobody has read.
    known = replace(facts, moulded_plug=False) if Fact.CORD_LENGTH in facts.assumed else facts
    carries = flex_carries(known, book, fused=True)
    if not facts.equipment_type.is_lead or carries is None or facts.fuse_a is None or facts.cord is None:
        return ""
    if not has_plug_fuse(facts, book) or facts.fuse_a <= carries.number:
        return ""
    return f"fuse {terse(facts.fuse_a)} A is larger than {carries.shown} A of {terse(facts.cord.csa_mm2)} mm² flex"


def assumed_of_lead(facts: ItemFacts) -> tuple[Fact, ...]:
    """The assumed facts that the fault of a lead's fuse rests on."""
    length = (Fact.CORD_LENGTH,) if facts.moulded_plug else ()
    return tuple(fact for fact in (Fact.CORD_SIZE, *length, Fact.FUSE) if fact in facts.assumed)


def flex_carries(facts: ItemFacts, book: RuleBook, *, fused: bool = False) -> Figure | None:
    """What the cord carries, A; `fused`: the largest fuse before it, where a short one has a moulded plug."""
    cord = facts.cord
    short = _short_moulded(cord, book) if cord is not None and facts.moulded_plug else None
    if short is not None:
        return short[0] if fused else short[1]
    return None if cord is None else book.find(f"flex.{csa_key(cord.csa_mm2)}")


def _load_on_flex(facts: ItemFacts, book: RuleBook) -> Iterator[str]:
    """An appliance protects its flex from overload by its own fixed load."""
    carries = flex_carries(facts, book)
    if carries is None or facts.power_kw is None or facts.cord is None or facts.connection not in _ON_A_FLEX:
        return
    if {Fact.POWER, Fact.CORD_SIZE} <= set(facts.assumed):
        return
    amps = facts.power_kw * _WATTS_IN_KW / _volts_of_current(facts)
    if amps > carries.number:
        size = f"{terse(facts.cord.csa_mm2)} mm²"
        yield cited(
            f"load of {terse(round(amps, 1))} A is more than {carries.shown} A that {size} flex carries",
            carries.citation,
        )


def _volts_of_current(facts: ItemFacts) -> Decimal:
    """What the power is divided by for the current in each line, V."""
    volts = Decimal(facts.rated_volts or _MAINS_VOLTS)
    if facts.phases == 1:
        return volts
    return volts * (_ROOT_3 if volts > _BETWEEN_LINES else 3)


def lead_advice(facts: ItemFacts, book: RuleBook) -> Iterator[str]:
    """A sentence where a lead is longer than recommended and nothing of 30 mA stands before or on it."""
    if not facts.equipment_type.is_lead or facts.cord is None:
        return
    longest, rating = book.find(f"lead.{csa_key(facts.cord.csa_mm2)}"), book.find("rcd.additional.rating")
    if longest is None or rating is None or facts.cord.length_m <= longest.number:
        return
    if Fact.CORD_LENGTH in facts.assumed and Fact.CORD_SIZE in facts.assumed:
        return
    if facts.rcd is not None and facts.rcd_rating_ma is not None and facts.rcd_rating_ma <= rating.number:
        return
    if facts.additional_protection:
        return
    size = f"{terse(facts.cord.csa_mm2)} mm²"
    yield cited(
        f"lead of {size} is {terse(facts.cord.length_m)} m long, over the recommended {longest.shown} m: "
        f"use it with a {rating.shown} mA RCD",
        longest.citation,
    )


def _wanted(facts: ItemFacts, book: RuleBook) -> Figure | None:
    up_to = book.find("fuse.small-up-to")
    if up_to is None or facts.power_kw is None:
        return None
    return book.find("fuse.small" if facts.power_kw * _WATTS_IN_KW <= up_to.number else "fuse.large")


def _for_power(facts: ItemFacts, watts: Decimal, wanted: Figure, book: RuleBook) -> Iterator[str]:
    found = facts.fuse_a
    power = f"{terse(watts)} W"
    most = book.find("fuse.plug-up-to")
    if most is not None and watts > most.number:
        yield cited(f"{power} is more than a fused plug carries: see how the item is connected", most.citation)
        return
    if found is None:
        yield cited(f"plug fuse for {power}: {wanted.shown} A", wanted.citation)
    elif found != wanted.number:
        than = "larger" if found > wanted.number else "smaller"
        motor = "; a motor may need more to start" if found > wanted.number and not facts.heating else ""
        yield cited(f"fuse found {terse(found)} A is {than} than {wanted.shown} A for {power}{motor}", wanted.citation)


def _existing(facts: ItemFacts, found: Decimal, book: RuleBook) -> Iterator[str]:
    sizes, preferred = book.find("fuse.sizes"), book.find("fuse.preferred")
    if sizes is None:
        return
    if found not in sizes.numbers:
        yield cited(f"no plug fuse of {terse(found)} A exists: they come as {sizes.shown} A", sizes.citation)
    elif preferred is not None and found not in preferred.numbers and not facts.equipment_type.is_lead:
        yield cited(f"fuse of {terse(found)} A is not a preferred size: {preferred.shown} A are", preferred.citation)


def _against_flex(facts: ItemFacts, found: Decimal, book: RuleBook) -> Iterator[str]:
    """The largest fuse that the plug standard allows before the cord of an appliance."""
    cord = facts.cord
    allowed = None if cord is None else book.find(f"flex.fuse.{csa_key(cord.csa_mm2)}")
    if cord is None or allowed is None or facts.equipment_type.is_lead or Fact.CORD_SIZE in facts.assumed:
        return
    if found > allowed.number:
        size = f"{terse(cord.csa_mm2)} mm²"
        yield cited(
            f"fuse found {terse(found)} A is larger than {allowed.shown} A for an appliance cord of {size}",
            allowed.citation,
        )


def _short_moulded(cord: Cord, book: RuleBook) -> tuple[Figure, Figure] | None:
    """The fuse allowed and the rating, where the exception for a short flex with a moulded plug holds."""
    csa, shorter = book.find("flex.moulded.csa"), book.find("flex.moulded.shorter-than")
    fuse, rating = book.find("flex.moulded.fuse"), book.find("flex.moulded.rating")
    if csa is None or shorter is None or fuse is None or rating is None:
        return None
    return (fuse, rating) if cord.csa_mm2 == csa.number and cord.length_m < shorter.number else None
