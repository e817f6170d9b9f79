"""What an assumed fact could be instead: the strictest limit that any of it leads to holds until somebody confirms it."""

from collections.abc import Callable, Iterable, Mapping
from decimal import Decimal
from typing import Final

from msgspec.structs import replace

from appreg.core.records.appliances import ApplianceClass, Connection, EquipmentType, Fact, ItemFacts, RcdKind
from appreg.core.records.checks import Check
from appreg.core.rules.earth_limits import conductor_sizes
from appreg.core.rules.limits import terse
from appreg.core.rules.rcd_limits import RCD_CHECKS, has_trip_times
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.second_lines import LINE_OF

BEHIND: Final[Mapping[Check, tuple[Fact, ...]]] = {
    Check.EARTH_CONTINUITY: (Fact.CORD_SIZE, Fact.CORD_LENGTH),
    Check.INSULATION: (Fact.CLASS, Fact.HEATING, Fact.POWER),
    Check.LEAKAGE: (Fact.CLASS, Fact.TYPE, Fact.HEATING, Fact.POWER, Fact.VOLTAGE),
    **dict.fromkeys(RCD_CHECKS, (Fact.RCD,)),
    **{check: (line.fact,) for check, line in LINE_OF.items()},
}
"""By check: the facts that its limit rests on."""
REQUIRING: Final = (Fact.CLASS, Fact.CONNECTION, Fact.RCD)
"""The facts that decide which checks an item needs."""
SEEN_AT_ONCE: Final = frozenset({Fact.CLASS, Fact.CONNECTION, Fact.TYPE})
"""The facts that the look at an item settles: the mark of its class, what it is, and how it is connected."""
USUAL_VOLTS: Final = 230
"""What an assumed lower rated voltage may turn out to be (common practice)."""

_TYPES: Final = (EquipmentType.PORTABLE, EquipmentType.STATIONARY, EquipmentType.MOVABLE)
_ANZ: Final = frozenset({RcdKind.ANZ_1, RcdKind.ANZ_2})
_DELAYED: Final = RcdKind.S
"""Says so on its plate; it is allowed more time than any other."""


def _classes(facts: ItemFacts) -> list[ItemFacts]:
    return [replace(facts, appliance_class=each) for each in (ApplianceClass.CLASS_I, ApplianceClass.CLASS_II)]


def _types(facts: ItemFacts) -> list[ItemFacts]:
    # Whether an item is a lead is plain to anybody who holds it.
    return [] if facts.equipment_type.is_lead else [replace(facts, equipment_type=each) for each in _TYPES]


def _no_cord(facts: ItemFacts) -> ItemFacts:
    """As if the cord were not known: the rule book's own flat limit."""
    return replace(facts, cord=None, flat_earth_limit_ohm=None)


def _sizes(facts: ItemFacts, book: RuleBook) -> list[ItemFacts]:
    if facts.cord is None:
        return [_no_cord(facts)]
    # The thickest has least resistance, and is beyond any step that only thin cords have.
    thickest = replace(facts.cord, csa_mm2=conductor_sizes("plain", book)[-1], tinned=False)
    return [replace(facts, cord=thickest), _no_cord(facts)]


def _lengths(facts: ItemFacts) -> list[ItemFacts]:
    if facts.cord is None:
        return []
    return [replace(facts, cord=replace(facts.cord, length_m=Decimal(0))), _no_cord(facts)]


def _heating(facts: ItemFacts) -> list[ItemFacts]:
    return [replace(facts, heating=heats, mineral_insulated=False) for heats in (True, False)]


def _kinds(facts: ItemFacts, book: RuleBook) -> list[ItemFacts]:
    # The kinds of another country's standard are no alternative.
    if facts.rcd is None or not has_trip_times(facts, book):
        return []
    family = _ANZ if facts.rcd in _ANZ else set(RcdKind) - {*_ANZ, _DELAYED}
    kinds = (replace(facts, rcd=each) for each in RcdKind if each in family)
    return [form for form in kinds if has_trip_times(form, book)]


_OTHERS: Final[Mapping[Fact, Callable[[ItemFacts], list[ItemFacts]]]] = {
    Fact.CLASS: _classes,
    Fact.TYPE: _types,
    Fact.CORD_LENGTH: _lengths,
    Fact.HEATING: _heating,
    Fact.POWER: lambda facts: [replace(facts, power_kw=None)],
    Fact.CONNECTION: lambda facts: [replace(facts, connection=Connection.PLUG)],
}

_OTHERS_BY_BOOK: Final[Mapping[Fact, Callable[[ItemFacts, RuleBook], list[ItemFacts]]]] = {
    Fact.CORD_SIZE: _sizes,
    Fact.RCD: _kinds,
}


def variants(facts: ItemFacts, among: Iterable[Fact], book: RuleBook) -> tuple[ItemFacts, ...]:
    """Everything an item could be under a book where these facts are assumed, as it stands first; none assumed any more."""
    if not facts.assumed:
        return (facts,)
    forms = [replace(facts, assumed=())]
    for fact in among:
        if fact in facts.assumed:
            forms = [other for form in forms for other in (form, *_others(fact, form, book))]
    return tuple(dict.fromkeys(forms))


def _others(fact: Fact, form: ItemFacts, book: RuleBook) -> list[ItemFacts]:
    if fact in _OTHERS_BY_BOOK:
        return _OTHERS_BY_BOOK[fact](form, book)
    return _OTHERS[fact](form) if fact in _OTHERS else []


def without(facts: ItemFacts, confirmed: Iterable[Fact]) -> ItemFacts:
    """The facts with some of them read from the item."""
    left = tuple(fact for fact in facts.assumed if fact not in set(confirmed))
    return facts if left == facts.assumed else replace(facts, assumed=left)


def words_of(facts: ItemFacts, which: Iterable[Fact]) -> str:
    """The facts as a condition: 'the cord is 1 mm² × 10 m and it is Class II'."""
    parts = dict.fromkeys(_WORDS[fact](facts) for fact in which)
    return " and ".join(part for part in parts if part)


def _cord_words(facts: ItemFacts) -> str:
    cord = facts.cord
    return f"the cord is {terse(cord.csa_mm2)} mm² × {terse(cord.length_m)} m" if cord else ""


def _power_words(facts: ItemFacts) -> str:
    return "its power is not known" if facts.power_kw is None else f"its power is {terse(facts.power_kw)} kW"


def _rating_words(facts: ItemFacts) -> str:
    return f"its RCD is rated {terse(facts.rcd_rating_ma)} mA" if facts.rcd_rating_ma else ""


_WORDS: Final[Mapping[Fact, Callable[[ItemFacts], str]]] = {
    Fact.CLASS: lambda facts: f"it is {facts.appliance_class.label}",
    Fact.TYPE: lambda facts: f"it is {facts.equipment_type.label}",
    Fact.CORD_SIZE: _cord_words,
    Fact.CORD_LENGTH: _cord_words,
    Fact.HEATING: lambda facts: "it heats" if facts.heating else "it has no heating",
    Fact.POWER: _power_words,
    Fact.FUSE: lambda facts: f"its fuse is {terse(facts.fuse_a)} A" if facts.fuse_a else "",
    Fact.VOLTAGE: lambda facts: f"it is rated {facts.rated_volts or USUAL_VOLTS} V",
    Fact.PHASES: lambda facts: f"it has {facts.phases} {'phase' if facts.phases == 1 else 'phases'}",
    Fact.RCD: lambda facts: f"its RCD is of kind {facts.rcd}",
    Fact.RCD_RATING: _rating_words,
    Fact.CONNECTION: lambda facts: f"its connection is {facts.connection.label}",
    Fact.UNEARTHED_METAL: lambda facts: "it has metal that is not earthed" if facts.unearthed_metal else "",
    Fact.FUNCTIONAL_EARTH: lambda facts: "its earth is functional" if facts.functional_earth else "",
}
