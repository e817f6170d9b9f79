"""From the options of `judge` to the item's facts and what was measured on it."""

import argparse
from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Final

from appreg.cli.rule_options import class_named, type_named
from appreg.core.judging.typed_checks import Figure, Setup, TypedChecks, read_checks
from appreg.core.records.appliances import (
    ApplianceClass,
    Connection,
    Cord,
    EquipmentType,
    Fact,
    ItemFacts,
    Owner,
    RcdKind,
)
from appreg.core.records.checks import Check, EarthCurrent, Entries, LeakageMethod
from appreg.core.rules.earth_limits import at_reference, earth_limit
from appreg.core.rules.rcd_limits import RCD_CHECKS, has_trip_times
from appreg.core.rules.required_checks import judged_class
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.second_lines import INSULATIONS, LINE_OF
from appreg.core.values.text import clean, shown
from appreg.core.values.typed_values import decimal_typed
from appreg.errors import InputRefused

EARTH_CURRENTS: Final = {current.value.replace(" ", ""): current for current in EarthCurrent}
"""By the word of the option: 200mA, 10A."""
_ANSWERS: Final = {"ok": True, "bad": False}
_SEEN: Final = {
    Check.VISUAL: "--visual",
    Check.POLARITY: "--polarity",
    Check.FUNCTIONAL: "--functional",
    Check.RCD_BUTTON: "--rcd-button",
}
_MEASURED: Final = {
    Check.EARTH_CONTINUITY: "--earth",
    Check.INSULATION: "--insulation",
    Check.LEAKAGE: "--leakage",
    Check.MICROWAVE: "--microwave",
    **{check: f"--{check}" for check in LINE_OF},
}
"""By check: the option that gives it."""
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
        rated_volts=_whole_volts(args.rated_volts, "--rated-volts"),
        owner=Owner(args.owner) if args.owner else None,
        assumed=_facts(args.assumed or "", "--assumed"),
        measured=_measured_facts(args),
        unearthed_metal=args.unearthed_metal,
        additional_protection=args.additional_protection,
        functional_earth=args.functional_earth,
    )


def entries_from(args: argparse.Namespace) -> Entries:
    """What was seen and measured; raises InputRefused naming the option."""
    trips = _trips(args.rcd_trip or ())
    figures = {
        Figure.APPLIED_VOLTS: _positive(args.applied_volts, "--applied-volts", "V"),
        Figure.LOAD: _positive(args.load, "--load", "kVA"),
    }
    answers = {check: _answer(getattr(args, option[2:].replace("-", "_")), option) for check, option in _SEEN.items()}
    texts = {check: getattr(args, option[2:].replace("-", "_")) for check, option in _MEASURED.items()}
    read = read_checks(
        TypedChecks(
            seen={check: answer for check, answer in answers.items() if answer is not None},
            readings={**{check: text for check, text in texts.items() if text is not None}, **trips},
            figures={name: f"{figure:f}" for name, figure in figures.items() if figure is not None},
            setup=_setup(args),
            left_out=_left_out(args.left_out or ()),
        )
    )
    for name, problem in read.problems.items():
        option = _MEASURED.get(Check(name)) or f"--rcd-trip {RCD_CHECKS[Check(name)]}"
        raise InputRefused(f"{option}: {problem}")
    for check in read.entries.left_out:
        if check in read.entries.done:
            raise InputRefused(f"--left-out: {check} is given a result as well; take one of the two away.")
    return read.entries


def _left_out(typed: Iterable[str]) -> dict[Check, str]:
    said: dict[Check, str] = {}
    for each in typed:
        name, _, reason = each.partition("=")
        word, why = name.strip().lower(), clean(reason, field="--left-out")
        if word not in set(Check):
            raise InputRefused(f"--left-out: '{shown(word[:40])}' is no check; choose from {', '.join(Check)}.")
        if not why:
            raise InputRefused(f"--left-out {word}: no reason is given; write it like {word}='cannot be run here'.")
        if Check(word) in said:
            raise InputRefused(f"--left-out: {word} is given twice; write both reasons as one.")
        said[Check(word)] = why
    return said


def _setup(args: argparse.Namespace) -> Setup:
    """How it was measured."""
    volts = _whole_volts(args.insulation_volts, "--insulation-volts")
    return Setup(
        earth_current=EARTH_CURRENTS.get(args.earth_current or ""),
        conductor_celsius=decimal_typed(
            args.conductor_temperature or "", field="--conductor-temperature", units=("°C", "C")
        ),
        insulation_volts=volts,
        lines_linked=args.lines_linked,
        second_volts={} if volts is None else dict.fromkeys(INSULATIONS[1:], volts),
        leakage_method=LeakageMethod(args.leakage_method) if args.leakage_method else None,
        rated_volts=_positive(args.rated_volts, "--rated-volts", "V"),
        two_pole_symmetric=args.two_pole_symmetric,
        referred=args.already_referred,
    )


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
    own = {Fact.CORD_SIZE: args.cord_csa, Fact.CORD_LENGTH: args.cord_length, Fact.POWER: args.power_kw}
    for fact, given in own.items():
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


def _whole_volts(typed: str | None, option: str) -> int | None:
    volts = _positive(typed, option, "V")
    if volts is not None and volts % 1:
        raise InputRefused(
            f"{option}: {volts} V is no whole number of volts; give the nearest that stands on the plate or display."
        )
    return None if volts is None else int(volts)


def _cord(args: argparse.Namespace) -> Cord | None:
    csa, length = _positive(args.cord_csa, "--cord-csa", "mm²"), _positive(args.cord_length, "--cord-length", "m")
    if csa is None or length is None:
        return None
    return Cord(csa_mm2=csa, length_m=length, tinned=args.tinned)


def _trips(typed: Iterable[str]) -> dict[Check, str]:
    trips: dict[Check, str] = {}
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
        trips[check] = time
    return trips


def _answer(typed: str | None, option: str) -> bool | None:
    if typed is None:
        return None
    if typed.strip().lower() not in _ANSWERS:
        raise InputRefused(f"{option}: '{shown(typed[:40])}' is no answer; type ok or bad.")
    return _ANSWERS[typed.strip().lower()]


def _positive(typed: str | None, option: str, unit: str) -> Decimal | None:
    """A number above zero in the option's own unit."""
    if typed is None:
        return None
    number = decimal_typed(typed, field=option, units=(unit,))
    if number is None or number <= 0:
        raise InputRefused(f"{option}: '{shown(typed[:40])}' is not above zero; type it in {unit}.")
    return number
