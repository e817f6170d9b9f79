"""The figures a rule book may give: by key, what form each takes and in which unit it is compared."""

from collections.abc import Mapping
from decimal import Decimal, InvalidOperation
from functools import lru_cache
from typing import Final

from msgspec import Struct

from appreg.core.records.appliances import EquipmentType, RcdKind
from appreg.core.records.checks import Check, LeakageMethod
from appreg.core.values.dates_in_words import DateForm
from appreg.core.values.label_fields import LabelField


class KnownKey(Struct, frozen=True, kw_only=True):
    """The form of one figure."""

    unit: str = ""
    several: bool = False
    """A list of numbers instead of one."""
    words: frozenset[str] | None = None
    """The closed set its words come from; None: the figure is numeric."""
    one_word: bool = False
    """A single word instead of a list of them."""


def _numbers(unit: str, *keys: str) -> dict[str, KnownKey]:
    return dict.fromkeys(keys, KnownKey(unit=unit))


def _lists(unit: str, *keys: str) -> dict[str, KnownKey]:
    return dict.fromkeys(keys, KnownKey(unit=unit, several=True))


_CHECKS: Final = KnownKey(words=frozenset(Check))
_LEAVABLE: Final = KnownKey(words=frozenset({Check.EARTH_CONTINUITY, Check.LEAKAGE, Check.FUNCTIONAL}))
"""What a book may let go with a reason; the look, insulation, polarity, trips and microwaves decide safety."""
_TYPES: Final = KnownKey(words=frozenset(EquipmentType))
_METHODS: Final = KnownKey(words=frozenset(LeakageMethod))
_REQUIREMENTS: Final = (
    "class-1",
    "class-2",
    "class-3",
    "battery",
    "cord-set",
    "cord-set-two-core",
    "extension-lead",
    "extension-lead-two-core",
    "microwave",
    "rcd",
    "unearthed-metal",
    "functional-earth",
    "out-of-scope",
    "left-out-unsuitable",
)

_KNOWN: Final[Mapping[str, KnownKey]] = {
    "inspection.order": _CHECKS,
    "inspection.stop-after": _CHECKS,
    "inspection.closed-by-insulation": _CHECKS,
    "inspection.energised": _CHECKS,
    "inspection.fails-on-sight": KnownKey(words=frozenset({"two-core-extension-lead", "lead-fuse-above-flex"})),
    "plug.fused": KnownKey(words=frozenset({"fused", "not-fused"}), one_word=True),
    "plug.polarised": KnownKey(words=frozenset({"polarised", "reversible"}), one_word=True),
    **_numbers("V", "plug.mains-from"),
    **_lists("mm²", "plug.usual-cords"),
    **_numbers("× interval", "evidence.elapsed-least", "evidence.elapsed-most"),
    "dates.written": KnownKey(words=frozenset(DateForm), one_word=True),
    "label.names": KnownKey(words=frozenset(LabelField)),
    **{f"required.{row}": _CHECKS for row in _REQUIREMENTS},
    **{f"may-be-left-out.{row}": _LEAVABLE for row in ("class-1", "class-2", "class-3", "battery")},
    **dict.fromkeys(("instead.insulation.class-1", "instead.insulation.class-2"), _METHODS),
    **dict.fromkeys(("accepted.leakage.class-1", "accepted.leakage.class-2"), _METHODS),
    **dict.fromkeys(("instead.unearthed-metal", "instead.functional-earth"), _CHECKS),
    "decision.rule": KnownKey(words=frozenset({"simple", "guarded"}), one_word=True),
    **_numbers("Ω", "earth.flat", "earth.plus-cord"),
    **_lists("Ω", "earth.flat-options"),
    **_numbers("Ω", "earth.steps.first", "earth.steps.each", "earth.steps.most"),
    **_numbers("m", "earth.steps.first-length", "earth.steps.each-length"),
    **_numbers("mm²", "earth.steps.csa-up-to"),
    **_numbers("A", "earth.steps.current-up-to"),
    **_numbers("mA", "earth.test-current.low", "earth.test-current.high"),
    **_numbers("× fuse", "earth.test-current.fuse-factor"),
    **_numbers("A", "earth.test-current.most"),
    **_numbers("s", "earth.test-current.shortest", "earth.test-current.longest"),
    **_numbers("mΩ/m", "conductor.plain.csa_*", "conductor.tinned.csa_*"),
    **_numbers("per °C", "conductor.temperature.coefficient"),
    **_numbers("°C", "conductor.temperature.reference"),
    **_lists("°C", "conductor.temperature.range"),
    **_numbers("MΩ", "insulation.class-1.least", "insulation.class-2.least", "insulation.class-3.least"),
    **_numbers("MΩ", "insulation.heating.least", "insulation.mineral.least"),
    **_numbers("MΩ", "insulation.unearthed-metal.least", "insulation.functional-earth.least"),
    **_numbers("kW", "insulation.heating.from-kw", "insulation.heating.by-current-above-kw"),
    **_lists("V", "insulation.class-1.volts", "insulation.class-2.volts", "insulation.class-3.volts"),
    **_lists("V", "insulation.class-1.volts-unsuitable", "insulation.class-2.volts-unsuitable"),
    **_lists("V", "insulation.class-3.volts-unsuitable"),
    **_numbers("mA", "leakage.class-1.most", "leakage.light.most", "leakage.heating.least", "leakage.heating.most"),
    **_numbers("mA/kW", "leakage.heating.per-kw"),
    **_numbers("kW", "leakage.heating.above-kw"),
    "leakage.light.types": _TYPES,
    "leakage.heating.types": _TYPES,
    **_numbers("mA", "leakage.touch.class-1", "leakage.touch.class-2", "leakage.touch.class-3"),
    **_numbers("mA", "leakage.touch.unearthed-metal", "leakage.touch.functional-earth"),
    **_numbers("×", "leakage.doubling.factor", "leakage.substitute.limit-factor"),
    **_numbers("V", "leakage.substitute.applied-low", "leakage.substitute.applied-high"),
    **_numbers("÷", "leakage.substitute.symmetric-divisor"),
    **_numbers("ms", *(f"rcd.*.{times}.{end}" for times in ("1x", "2x", "5x") for end in ("least", "most"))),
    "rcd.*.required": _CHECKS,
    **_numbers("× delay", "rcd.*.delay-low", "rcd.*.delay-high"),
    **_numbers("ms", "rcd.half.least", "rcd.additional.most"),
    **_numbers("mA", "rcd.additional.rating"),
    **_numbers("×", "rcd.additional.times"),
    **_lists("°", "rcd.additional.angles"),
    **_numbers("mW/cm²", "microwave.most"),
    **_numbers("W/m²", "microwave.most-si"),
    **_numbers("mm", "microwave.distance"),
    **_numbers("ml", "microwave.load", "microwave.load-tolerance", "microwave.beaker"),
    **_lists("A", "fuse.sizes", "fuse.preferred"),
    **_numbers("W", "fuse.small-up-to", "fuse.plug-up-to"),
    **_numbers("A", "fuse.small", "fuse.large"),
    **_numbers("A", "flex.csa_*", "flex.fuse.csa_*", "flex.moulded.rating", "flex.moulded.fuse"),
    **_numbers("mm²", "flex.moulded.csa"),
    **_numbers("m", "flex.moulded.shorter-than", "lead.csa_*"),
    **_numbers("kg", "types.portable-below", "types.movable-up-to", "types.stationary-above"),
    **_numbers("%", "uncertainty.reading", "uncertainty.leakage"),
}


def known_key(key: str) -> KnownKey | None:
    """The form of the figure with that key; None where no rule book has such a figure."""
    *table, last = _any_rcd(key).split(".")
    return _KNOWN.get(".".join([*table, last if csa_of(last) is None else "csa_*"]))


def known_prefix(key: str) -> bool:
    """Tell whether any figure could stand under that table."""
    table = _any_rcd(key) + "."
    return any(known.startswith(table) for known in _KNOWN)


def _any_rcd(key: str) -> str:
    """The key with a star in place of a kind of residual current device."""
    first, _, rest = key.partition(".")
    kind, dot, last = rest.partition(".")
    return f"rcd.*{dot}{last}" if first == "rcd" and kind in set(RcdKind) else key


@lru_cache(maxsize=100)
def csa_key(csa_mm2: Decimal) -> str:
    """The last part of the key of a conductor size: 0.75 mm² gives csa_0_75."""
    return "csa_" + f"{csa_mm2.normalize():f}".replace(".", "_")


def csa_of(part: str) -> Decimal | None:
    """The conductor size, mm², that the last part of a key stands for; None where it stands for none."""
    if not part.startswith("csa_"):
        return None
    try:
        size = Decimal(part.removeprefix("csa_").replace("_", ".", 1))
    except InvalidOperation:
        return None
    return size if size.is_finite() and csa_key(size) == part else None
