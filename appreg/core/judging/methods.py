"""How a check was measured: kept with its finding, told in words, and what makes two readings comparable."""

from decimal import Decimal, InvalidOperation
from enum import StrEnum
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from appreg.core.records.appliances import EquipmentType, ItemFacts
from appreg.core.records.checks import Check, EarthCurrent, Entries, LeakageMethod
from appreg.core.rules.insulation_limits import insulation_volts
from appreg.core.rules.leakage_limits import leakage_method
from appreg.core.rules.limits import terse
from appreg.core.rules.rcd_limits import RCD_CHECKS
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.second_lines import INSULATIONS, UNEARTHED


class Spread(StrEnum):
    """What several readings, or one for several lines, were taken at."""

    HALF_WAVES = "each half-wave"
    LINES = "each line"
    LINKED = "lines linked"
    PLACES = "each place"


class Method(Struct, frozen=True, kw_only=True):
    """How one check was measured; what was not said is None, False or empty."""

    leakage: LeakageMethod | None = None
    displayed: bool = False
    """Substitute method: the instrument shows the current already referred to rated voltage."""
    symmetric: bool = False
    """Substitute method: a two-pole symmetric circuit."""
    applied_volts: Decimal | None = None
    """Substitute method, referred by us: the voltage applied, V."""
    rated_volts: Decimal | None = None
    """Substitute method, referred by us: the voltage referred to, V."""
    test_volts: int | None = None
    """Insulation: V d.c."""
    test_current: EarthCurrent | None = None
    load_kva: Decimal | None = None
    spread: Spread | None = None
    readings: tuple[str, ...] = ()
    """All that stand side by side, as typed; empty where there is one alone."""
    left_out: str = ""
    """Why it was not measured at all, where the rule book lets it be left out; empty otherwise."""


NOTHING_SAID: Final = Method()
LEFT_OUT_BEGINS: Final = '{"left_out":'
"""How the text of a method begins that says why nothing was measured: it says nothing else."""
UNREADABLE: Final = "how it was measured cannot be read, run `appreg verify`"
_LEAKAGE_WORDS: Final = {
    LeakageMethod.PROTECTIVE_CONDUCTOR: "protective-conductor current",
    LeakageMethod.TOUCH: "touch current",
    LeakageMethod.SUBSTITUTE: "substitute method",
}
_OLD_VOLTS: Final = {"at 250 V d.c.": 250, "at 500 V d.c.": 500}
"""How versions that kept no method remarked on the test voltage."""


def how_measured(check: Check, facts: ItemFacts, entries: Entries, book: RuleBook) -> Method:
    """How a check was measured: as entered, otherwise in the way that is usual for the class."""
    readings = entries.readings_shown(check)
    spread = _spread(check, facts, entries, several=bool(readings))
    if check is Check.EARTH_CONTINUITY and entries.earth:
        return Method(test_current=entries.earth.test_current, spread=spread, readings=readings)
    if check in INSULATIONS:
        return Method(test_volts=_test_volts(check, facts, entries, book), spread=spread, readings=readings)
    if check is UNEARTHED.current and check in entries.second:
        return Method(leakage=LeakageMethod.TOUCH, spread=spread, readings=readings)
    if check is Check.LEAKAGE and entries.leakage:
        return _leakage(facts, entries, spread, readings)
    if check is Check.FUNCTIONAL and entries.functional is not None:
        return Method(load_kva=entries.load_kva)
    return Method(spread=spread, readings=readings)


def _test_volts(check: Check, facts: ItemFacts, entries: Entries, book: RuleBook) -> int | None:
    own = entries.insulation if check is Check.INSULATION else None
    if own is None and check not in entries.second:
        return None
    usual = () if facts.unsuitable_500v else insulation_volts(facts, book)
    return (own.volts if own else entries.second_volts.get(check)) or next(iter(usual), None)


def _leakage(facts: ItemFacts, entries: Entries, spread: Spread | None, readings: tuple[str, ...]) -> Method:
    entry = entries.leakage
    method = leakage_method(facts, entry.method if entry else None)
    if entry is None or method is not LeakageMethod.SUBSTITUTE:
        return Method(leakage=method, spread=spread, readings=readings)
    ours = not entry.referred
    return Method(
        leakage=method,
        displayed=entry.referred,
        symmetric=entry.two_pole_symmetric,
        applied_volts=entry.applied_volts if ours else None,
        rated_volts=entry.rated_volts if ours else None,
        spread=spread,
        readings=readings,
    )


def _spread(check: Check, facts: ItemFacts, entries: Entries, *, several: bool) -> Spread | None:
    by_line = check in {Check.INSULATION, Check.LEAKAGE} and facts.phases > 1
    if by_line and check is Check.INSULATION and entries.insulation and entries.insulation.lines_linked:
        return Spread.LINKED
    if not several:
        return None
    return Spread.HALF_WAVES if check in RCD_CHECKS else Spread.LINES if by_line else Spread.PLACES


def method_text(method: Method) -> str:
    """The method as canonical JSON, what was not said left out; empty where nothing was."""
    import json  # noqa: PLC0415 - only writing needs it

    said: dict[str, object] = {}
    for name in method.__struct_fields__:
        value = getattr(method, name)
        if value is not None and value is not False and value not in {(), ""}:
            said[name] = str(value) if isinstance(value, Decimal) else value
    return json.dumps(said, sort_keys=True, separators=(",", ":"), ensure_ascii=False) if said else ""


def method_in(text: str) -> Method:
    """The method that method_text wrote; raises ValueError where the text is something else."""
    import json  # noqa: PLC0415 - only reading needs it

    if not text:
        return NOTHING_SAID
    try:
        said = json.loads(text)
        return Method(
            leakage=LeakageMethod(said["leakage"]) if "leakage" in said else None,
            displayed=said.get("displayed") is True,
            symmetric=said.get("symmetric") is True,
            applied_volts=_decimal(said, "applied_volts"),
            rated_volts=_decimal(said, "rated_volts"),
            test_volts=int(said["test_volts"]) if "test_volts" in said else None,
            test_current=EarthCurrent(said["test_current"]) if "test_current" in said else None,
            load_kva=_decimal(said, "load_kva"),
            spread=Spread(said["spread"]) if "spread" in said else None,
            readings=tuple(str(each) for each in said.get("readings", ())),
            left_out=str(said.get("left_out", "")),
        )
    except (TypeError, AttributeError, InvalidOperation) as cause:
        raise ValueError(text) from cause


def _decimal(said: dict[str, str], name: str) -> Decimal | None:
    return Decimal(said[name]) if name in said else None


def method_words(text: str) -> str:
    """A kept method in words: touch current · each line; empty where nothing was said."""
    try:
        method = method_in(text)
    except ValueError:
        return UNREADABLE
    parts = (
        _leakage_words(method),
        f"at {method.test_volts} V d.c." if method.test_volts else "",
        f"test current {method.test_current}" if method.test_current else "",
        f"load {terse(method.load_kva)} kVA" if method.load_kva is not None else "",
        method.spread or "",
    )
    return " · ".join(part for part in parts if part)


def _leakage_words(method: Method) -> str:
    words = _LEAKAGE_WORDS[method.leakage] if method.leakage else ""
    if method.displayed:
        words += ", referred to rated voltage by the instrument"
    elif method.applied_volts is not None and method.rated_volts is not None:
        words += f", referred from {terse(method.applied_volts)} V to {terse(method.rated_volts)} V by calculation"
    return f"{words}, two-pole symmetric" if method.symmetric else words


def readings_in(text: str, worst: str) -> tuple[str, ...]:
    """All readings of a kept finding as typed; the one that decided where it stands alone."""
    try:
        return method_in(text).readings or ((worst,) if worst else ())
    except ValueError:
        return (worst,)


def kept_readings(text: str, worst: str) -> str:
    """All readings of a kept finding side by side: 28/24."""
    return "/".join(readings_in(text, worst))


def left_out_because(text: str) -> str:
    """Why a kept finding was left out with its book's leave; empty where it was not, or where that cannot be read."""
    try:
        return method_in(text).left_out
    except ValueError:
        return ""


def likeness(method: Method) -> Method:
    """What readings must share to be compared: method, voltages, test current, and whether lines were linked."""
    return Method(
        leakage=method.leakage,
        displayed=method.displayed,
        symmetric=method.symmetric,
        applied_volts=method.applied_volts,
        test_volts=method.test_volts,
        test_current=method.test_current,
        spread=Spread.LINKED if method.spread is Spread.LINKED else None,
    )


def likeness_kept(text: str, remark: str) -> Method | None:
    """The likeness of a kept finding; None where it cannot be read.

    `remark` tells the test voltage of a finding that an earlier version kept.
    """
    try:
        method = likeness(method_in(text))
    except ValueError:
        return None
    old = next((volts for words, volts in _OLD_VOLTS.items() if not text and words in remark), None)
    return replace(method, test_volts=old) if old else method


def current_caution(facts: ItemFacts, current: EarthCurrent | None) -> str:
    """What must be said of such a test current on such an item; empty where nothing."""
    electronic = facts.equipment_type is EquipmentType.IT or facts.unsuitable_500v
    if current is not EarthCurrent.A25 or not electronic:
        return ""
    return "25 A may harm electronics and thin screens: test such an item at 100 or 200 mA"
