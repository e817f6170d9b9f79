"""From the options of `judge` to the item's facts and what was measured on it."""

import argparse
from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Final

from appreg.cli.rule_options import class_named, type_named
from appreg.core.appliances import ApplianceClass, Connection, Cord, EquipmentType, Fact, ItemFacts, Owner, RcdKind
from appreg.core.checks import Check, EarthCurrent, EarthEntry, Entries, InsulationEntry, LeakageEntry, LeakageMethod
from appreg.core.earth_limits import at_reference, earth_limit
from appreg.core.rcd_limits import RCD_CHECKS, has_trip_times
from appreg.core.readings import Reading
from appreg.core.required_checks import judged_class
from appreg.core.rule_book import RuleBook
from appreg.core.second_lines import INSULATIONS, LINE_OF
from appreg.core.several_readings import parse_readings
from appreg.core.text import shown
from appreg.core.typed_values import decimal_typed
from appreg.errors import InputRefused

EARTH_CURRENTS: Final = {current.value.replace(" ", ""): current for current in EarthCurrent}
"""By the word of the option: 200mA, 10A."""
_ANSWERS: Final = {"ok": True, "bad": False}
_TIMES: Final[Mapping[str, Check]] = {times: check for check, times in RCD_CHECKS.items()}


def facts_from(args: argparse.Namespace) -> ItemFacts:
    """The item's facts; raises InputRefused naming the option."""
    return ItemFacts(
        appliance_class=class_named(args.appliance_class),
        equipment_type=type_named(args.equipment_type),
        cord=_cord(args),
        power_kw=_positive(args.power_kw, "--power-kw", "kW"),
        heating=args.heating,
        microwave=args.microwave is not None or args.microwave_oven,
        rcd=RcdKind(args.rcd) if args.rcd else None,
        rcd_rating_ma=_positive(args.rcd_rating, "--rcd-rating", "mA"),
        rcd_delay_ms=_positive(args.rcd_delay, "--rcd-delay", "ms"),
        fuse_a=_positive(args.fuse, "--fuse", "A"),
        moulded_plug=args.moulded_plug,
        double_leakage=args.double_leakage,
        unsuitable_500v=args.unsuitable_500v,
        flat_earth_limit_ohm=_positive(args.flat_limit, "--flat-limit", "Ω"),
        mineral_insulated=args.mineral_insulated,
        rated_current_a=_positive(args.rated_current, "--rated-current", "A"),
        is_rcd=args.item_is_rcd,
        connection=_connection(args),
        phases=int(args.phases),
        rated_volts=_whole_volts(args.rated_volts),
        owner=Owner(args.owner) if args.owner else None,
        assumed=_facts(args.assumed or "", "--assumed"),
        measured=_measured_facts(args),
        unearthed_metal=args.unearthed_metal,
        functional_earth=args.functional_earth,
    )


def entries_from(args: argparse.Namespace) -> Entries:
    """What was seen and measured; raises InputRefused naming the option."""
    trips = _trips(args.rcd_trip or ())
    every = {**_measured(args), **trips}
    second = {check: reading for check in LINE_OF if (reading := next(iter(every[check]), None)) is not None}
    return Entries(
        visual=_answer(args.visual, "--visual"),
        earth=_earth(args),
        polarity=_answer(args.polarity, "--polarity"),
        insulation=_insulation(args),
        leakage=_leakage(args),
        functional=_answer(args.functional, "--functional"),
        load_kva=_positive(args.load, "--load", "kVA"),
        rcd_trips={check: readings[0] for check, readings in trips.items()},
        rcd_button=_answer(args.rcd_button, "--rcd-button"),
        microwave=_first(args.microwave, "--microwave", Check.MICROWAVE),
        second=second,
        second_volts=_second_volts(args, second),
        several={check: readings for check, readings in every.items() if len(readings) > 1},
    )


def _measured(args: argparse.Namespace) -> dict[Check, tuple[Reading | None, ...]]:
    """Every reading of each check but the trip times."""
    return {
        Check.EARTH_CONTINUITY: _readings(args.earth, "--earth", Check.EARTH_CONTINUITY),
        Check.INSULATION: _readings(args.insulation, "--insulation", Check.INSULATION),
        Check.LEAKAGE: _readings(args.leakage, "--leakage", Check.LEAKAGE),
        Check.MICROWAVE: _readings(args.microwave, "--microwave", Check.MICROWAVE),
        **{check: _readings(getattr(args, check.replace("-", "_")), f"--{check}", check) for check in LINE_OF},
    }


def _second_volts(args: argparse.Namespace, second: Iterable[Check]) -> dict[Check, int]:
    volts = _positive(args.insulation_volts, "--insulation-volts", "V")
    return {} if volts is None else {check: int(volts) for check in second if check in INSULATIONS}


def refuse_what_no_rule_covers(facts: ItemFacts, entries: Entries, book: RuleBook) -> None:
    """Refuse at once what a live form would show as inconclusive: it was stated on purpose."""
    if judged_class(facts) is ApplianceClass.CLASS_I or entries.earth is not None:
        earth_limit(facts, book)
    if entries.earth is not None and entries.earth.conductor_celsius is not None:
        at_reference(entries.earth.reading, entries.earth.conductor_celsius, book)
    if facts.rcd is not None and not has_trip_times(facts, book):
        kinds = [kind for kind in RcdKind if book.find(f"rcd.{kind}.1x.most")]
        raise InputRefused(
            f"--rcd: rule book {book.id} times no RCD of kind {facts.rcd}; choose one of {', '.join(kinds)}."
        )


def _connection(args: argparse.Namespace) -> Connection:
    if args.connection:
        return Connection(args.connection)
    fixed = type_named(args.equipment_type) in {EquipmentType.FIXED, EquipmentType.BUILT_IN}
    if int(args.phases) == 1:
        return Connection.PLUG
    return Connection.HARD_WIRED if fixed else Connection.INDUSTRIAL


def _measured_facts(args: argparse.Namespace) -> tuple[Fact, ...]:
    measured = _facts(args.measured or "", "--measured")
    for fact, given in {
        Fact.CORD_SIZE: args.cord_csa,
        Fact.CORD_LENGTH: args.cord_length,
        Fact.POWER: args.power_kw,
    }.items():
        if fact in measured and given is None:
            raise InputRefused(f"--measured: {fact} is measured, but not given; give it by its own option too.")
    for fact in _facts(args.assumed or "", "--assumed"):
        if fact in measured:
            raise InputRefused(f"--measured: {fact} is given with --assumed too; it is one or the other.")
    return measured


def _facts(typed: str, option: str) -> tuple[Fact, ...]:
    named = {word.strip().lower() for word in typed.split(",") if word.strip()}
    unknown = sorted(named - set(Fact))
    if unknown:
        raise InputRefused(f"{option}: '{shown(unknown[0][:40])}' is no fact; choose from {', '.join(Fact)}.")
    return tuple(fact for fact in Fact if fact in named)


def _whole_volts(typed: str | None) -> int | None:
    volts = _positive(typed, "--rated-volts", "V")
    return None if volts is None else int(volts)


def _cord(args: argparse.Namespace) -> Cord | None:
    csa, length = _positive(args.cord_csa, "--cord-csa", "mm²"), _positive(args.cord_length, "--cord-length", "m")
    if csa is None or length is None:
        return None
    return Cord(csa_mm2=csa, length_m=length, tinned=args.tinned)


def _earth(args: argparse.Namespace) -> EarthEntry | None:
    reading = _first(args.earth, "--earth", Check.EARTH_CONTINUITY)
    if reading is None:
        return None
    celsius = decimal_typed(args.conductor_temperature or "", field="--conductor-temperature", units=("°C", "C"))
    return EarthEntry(
        reading=reading,
        conductor_celsius=celsius,
        test_current=EARTH_CURRENTS.get(args.earth_current or ""),
    )


def _insulation(args: argparse.Namespace) -> InsulationEntry | None:
    reading = _first(args.insulation, "--insulation", Check.INSULATION)
    volts = _positive(args.insulation_volts, "--insulation-volts", "V")
    if reading is None:
        return None
    return InsulationEntry(reading=reading, volts=None if volts is None else int(volts), lines_linked=args.lines_linked)


def _leakage(args: argparse.Namespace) -> LeakageEntry | None:
    reading = _first(args.leakage, "--leakage", Check.LEAKAGE)
    if reading is None:
        return None
    return LeakageEntry(
        reading=reading,
        method=LeakageMethod(args.leakage_method) if args.leakage_method else None,
        applied_volts=_positive(args.applied_volts, "--applied-volts", "V"),
        rated_volts=_positive(args.rated_volts, "--rated-volts", "V"),
        two_pole_symmetric=args.two_pole_symmetric,
        referred=args.already_referred,
    )


def _trips(typed: Iterable[str]) -> dict[Check, tuple[Reading | None, ...]]:
    trips: dict[Check, tuple[Reading | None, ...]] = {}
    for each in typed:
        times, equals, time = each.partition("=")
        check = _TIMES.get(times.strip().lower())
        if check is None or not equals:
            raise InputRefused(
                f"--rcd-trip: '{shown(each[:40])}' is no trip test; write it like 1x=28, with {', '.join(_TIMES)}."
            )
        if check in trips:
            raise InputRefused(
                f"--rcd-trip: {times.strip()} is given twice; write both half-waves as {times.strip()}=28/24."
            )
        trips[check] = _readings(time, f"--rcd-trip {times.strip()}", check)
    return trips


def _answer(typed: str | None, option: str) -> bool | None:
    if typed is None:
        return None
    if typed.strip().lower() not in _ANSWERS:
        raise InputRefused(f"{option}: '{shown(typed[:40])}' is no answer; type ok or bad.")
    return _ANSWERS[typed.strip().lower()]


def _first(typed: str | None, option: str, check: Check) -> Reading | None:
    return next(iter(_readings(typed, option, check)), None)


def _readings(typed: str | None, option: str, check: Check) -> tuple[Reading | None, ...]:
    if typed is None:
        return ()
    try:
        return parse_readings(typed, check)
    except InputRefused as refusal:
        raise InputRefused(f"{option}: {refusal}") from refusal


def _positive(typed: str | None, option: str, unit: str) -> Decimal | None:
    """A number above zero in the option's own unit."""
    if typed is None:
        return None
    number = decimal_typed(typed, field=option, units=(unit,))
    if number is None or number <= 0:
        raise InputRefused(f"{option}: '{shown(typed[:40])}' is not above zero; type it in {unit}.")
    return number
