"""The limits of a rule book for items that nobody has entered yet, to be read off by hand."""

from decimal import Decimal
from typing import Final

from msgspec import Struct

from appreg.core.records.appliances import ApplianceClass, Cord, EquipmentType, ItemFacts
from appreg.core.records.checks import Check
from appreg.core.rules.check_limits import limit_of
from appreg.core.rules.earth_limits import conductor_sizes
from appreg.core.rules.insulation_limits import insulation_volts
from appreg.core.rules.limits import Limit, terse
from appreg.core.rules.rule_book import RuleBook

LENGTHS: Final = (Decimal(1), Decimal(2), Decimal(3), Decimal(5), Decimal(10), Decimal(25))
"""Of cords, m; a longer one than stands there is read off at the next shorter."""
_THICKEST: Final = Decimal("2.5")
_I, _II, _III = ApplianceClass.CLASS_I, ApplianceClass.CLASS_II, ApplianceClass.CLASS_III
_KINDS: Final = (
    ("Class I, hand-held", ItemFacts(appliance_class=_I, equipment_type=EquipmentType.HAND_HELD)),
    ("Class I, portable or movable", ItemFacts(appliance_class=_I, equipment_type=EquipmentType.PORTABLE)),
    ("Class I, IT", ItemFacts(appliance_class=_I, equipment_type=EquipmentType.IT)),
    ("Class I, heating, power not known", ItemFacts(appliance_class=_I, equipment_type=EquipmentType.PORTABLE, heating=True)),
    ("Class II", ItemFacts(appliance_class=_II, equipment_type=EquipmentType.PORTABLE)),
    ("Class III", ItemFacts(appliance_class=_III, equipment_type=EquipmentType.PORTABLE)),
    ("extension lead", ItemFacts(appliance_class=_I, equipment_type=EquipmentType.EXTENSION_LEAD)),
)  # fmt: skip


class KindLimits(Struct, frozen=True, kw_only=True):
    """What holds for items of one kind; None where the book gives no limit."""

    kind: str
    insulation: Limit | None
    volts: tuple[int, ...]
    """At which a pass counts, V d.c."""
    leakage: Limit | None


class EarthTable(Struct, frozen=True, kw_only=True):
    """The highest earth resistance by size and length of the cord."""

    sizes: tuple[Decimal, ...]
    """mm²."""
    rows: tuple[tuple[Limit | None, ...], ...]
    """By size: the limit of each length of LENGTHS."""
    unknown: Limit | None
    """Where size or length is not known."""


def earth_table(book: RuleBook) -> EarthTable:
    """The limits of earth continuity on Class I."""
    sizes = tuple(size for size in conductor_sizes("plain", book) if size <= _THICKEST)
    return EarthTable(
        sizes=sizes,
        rows=tuple(tuple(_earth(Cord(csa_mm2=size, length_m=length), book) for length in LENGTHS) for size in sizes),
        unknown=_earth(None, book),
    )


def kind_limits(book: RuleBook) -> tuple[KindLimits, ...]:
    """The limits of insulation and leakage by kind of item, where the book has them."""
    rows = (
        KindLimits(
            kind=words,
            insulation=_known(Check.INSULATION, facts, book),
            volts=insulation_volts(facts, book),
            leakage=_known(Check.LEAKAGE, facts, book),
        )
        for words, facts in _KINDS
    )
    return tuple(row for row in rows if row.insulation or row.leakage)


def limit_shown(limit: Limit | None) -> str:
    """A limit in words: ≤ 0.1208 Ω; a dash where there is none."""
    if limit is None:
        return "–"
    if limit.low is not None and limit.high is not None:
        return f"{terse(limit.low)} to {terse(limit.high)} {limit.unit.value}"
    bound, sign = (limit.high, "≤") if limit.high is not None else (limit.low, "≥")
    return f"{sign} {terse(bound or Decimal(0))} {limit.unit.value}"


def _earth(cord: Cord | None, book: RuleBook) -> Limit | None:
    facts = ItemFacts(appliance_class=_I, equipment_type=EquipmentType.PORTABLE, cord=cord)
    return _known(Check.EARTH_CONTINUITY, facts, book)


def _known(check: Check, facts: ItemFacts, book: RuleBook) -> Limit | None:
    found = limit_of(check, facts, book)
    return found if isinstance(found, Limit) else None
