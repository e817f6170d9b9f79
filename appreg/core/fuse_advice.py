"""Advice on plug fuse, flex and the length of a lead."""

from collections.abc import Iterator
from decimal import Decimal
from typing import Final

from appreg.core.appliances import Cord, ItemFacts
from appreg.core.limits import terse
from appreg.core.rule_book import Figure, RuleBook
from appreg.core.rule_keys import csa_key
from appreg.core.rule_values import cited

_WATTS_IN_KW: Final = Decimal(1000)


def fuse_advice(facts: ItemFacts, book: RuleBook) -> Iterator[str]:
    """Sentences on the plug fuse for the power, the fuse found, and the flex behind it."""
    wanted = None if facts.equipment_type.is_lead else _wanted(facts, book)
    if wanted is not None and facts.power_kw is not None:
        yield from _for_power(facts.power_kw * _WATTS_IN_KW, wanted, facts.fuse_a, book)
    if facts.fuse_a is not None:
        yield from _existing(facts.fuse_a, book)
        yield from _against_flex(facts, facts.fuse_a, book)


def lead_advice(facts: ItemFacts, book: RuleBook) -> Iterator[str]:
    """A sentence where a lead is longer than recommended and has no 30 mA device."""
    if not facts.equipment_type.is_lead or facts.cord is None:
        return
    longest, rating = book.find(f"lead.{csa_key(facts.cord.csa_mm2)}"), book.find("rcd.additional.rating")
    if longest is None or rating is None or facts.cord.length_m <= longest.number:
        return
    if facts.rcd is not None and facts.rcd_rating_ma is not None and facts.rcd_rating_ma <= rating.number:
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


def _for_power(watts: Decimal, wanted: Figure, found: Decimal | None, book: RuleBook) -> Iterator[str]:
    power = f"{terse(watts)} W"
    most = book.find("fuse.plug-up-to")
    if most is not None and watts > most.number:
        yield cited(f"{power} is more than a fused plug carries: see how the item is connected", most.citation)
        return
    if found is None:
        yield cited(f"plug fuse for {power}: {wanted.shown} A", wanted.citation)
    elif found != wanted.number:
        than = "larger" if found > wanted.number else "smaller"
        yield cited(f"fuse found {terse(found)} A is {than} than {wanted.shown} A for {power}", wanted.citation)


def _existing(found: Decimal, book: RuleBook) -> Iterator[str]:
    sizes, preferred = book.find("fuse.sizes"), book.find("fuse.preferred")
    if sizes is None:
        return
    if found not in sizes.numbers:
        yield cited(f"no plug fuse of {terse(found)} A exists: they come as {sizes.shown} A", sizes.citation)
    elif preferred is not None and found not in preferred.numbers:
        yield cited(f"fuse of {terse(found)} A is not a preferred size: {preferred.shown} A are", preferred.citation)


def _against_flex(facts: ItemFacts, found: Decimal, book: RuleBook) -> Iterator[str]:
    cord = facts.cord
    rating = None if cord is None else book.find(f"flex.{csa_key(cord.csa_mm2)}")
    if cord is None or rating is None:
        return
    size = f"{terse(cord.csa_mm2)} mm²"
    short = _short_moulded(cord, book) if facts.moulded_plug else None
    if short is not None:
        allowed, carries = short
        if found > allowed.number:
            yield cited(
                f"fuse found {terse(found)} A is larger than {allowed.shown} A for a short {size} flex with moulded "
                f"plug, rated {carries.shown} A",
                allowed.citation,
            )
    elif found > rating.number:
        yield cited(f"fuse found {terse(found)} A is larger than {rating.shown} A of {size} flex", rating.citation)


def _short_moulded(cord: Cord, book: RuleBook) -> tuple[Figure, Figure] | None:
    """The fuse allowed and the rating, where the exception for a short flex with a moulded plug holds."""
    csa, shorter = book.find("flex.moulded.csa"), book.find("flex.moulded.shorter-than")
    fuse, rating = book.find("flex.moulded.fuse"), book.find("flex.moulded.rating")
    if csa is None or shorter is None or fuse is None or rating is None:
        return None
    return (fuse, rating) if cord.csa_mm2 == csa.number and cord.length_m < shorter.number else None
