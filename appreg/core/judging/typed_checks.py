"""The one way from what was typed and ticked of an item to the entries that are judged, on the Bench as in a command."""

from collections.abc import Mapping
from decimal import Decimal
from enum import StrEnum
from typing import Final

from msgspec import Struct, field
from msgspec.structs import replace

from appreg.core.judging.several_readings import parse_readings
from appreg.core.records.checks import (
    Check,
    EarthCurrent,
    EarthEntry,
    Entries,
    InsulationEntry,
    LeakageEntry,
    LeakageMethod,
)
from appreg.core.rules.rcd_limits import RCD_CHECKS
from appreg.core.rules.second_lines import LINE_OF
from appreg.core.values.readings import Reading
from appreg.core.values.typed_values import decimal_typed
from appreg.errors import InputRefused


class Figure(StrEnum):
    """A figure that is no check of its own."""

    APPLIED_VOLTS = "leakage/volts"
    """Substitute method: the voltage applied, V."""
    LOAD = "functional/load"
    """What the item drew while it worked, kVA."""


_FIGURES: Final[Mapping[Figure, tuple[str, str]]] = {
    Figure.APPLIED_VOLTS: ("applied", "V"),
    Figure.LOAD: ("load", "kVA"),
}
"""What a refusal calls each figure, and its unit."""


class Setup(Struct, frozen=True, kw_only=True):
    """How the checks are measured, as it was set; None or False: nothing was said of it."""

    earth_current: EarthCurrent | None = None
    conductor_celsius: Decimal | None = None
    """Conductor temperature, where the earth reading is to be referred to 20 °C."""
    insulation_volts: int | None = None
    """V d.c."""
    lines_linked: bool = False
    second_volts: Mapping[Check, int] = field(default_factory=dict)
    """By insulation check of a second line: V d.c."""
    leakage_method: LeakageMethod | None = None
    rated_volts: Decimal | None = None
    """Substitute method: the rated voltage of the item, V."""
    two_pole_symmetric: bool = False
    referred: bool = False
    """Substitute method: the instrument shows the current already referred to rated voltage."""


class TypedChecks(Struct, frozen=True, kw_only=True):
    """All that was typed and ticked of one item, readable or not; what is absent was not done."""

    seen: Mapping[Check, bool] = field(default_factory=dict)
    """The answers to the checks without a figure."""
    readings: Mapping[Check, str] = field(default_factory=dict)
    """The text of each measured check, several readings with strokes between them."""
    figures: Mapping[Figure, str] = field(default_factory=dict)
    setup: Setup = field(default_factory=Setup)
    left_out: Mapping[Check, str] = field(default_factory=dict)
    """Why a check is left out."""
    begun: Mapping[Check, int] = field(default_factory=dict)
    """What stays asked for, as in Entries."""


class ReadChecks(Struct, frozen=True, kw_only=True):
    """What was typed, as far as it can be read."""

    entries: Entries
    problems: Mapping[str, str]
    """By the name of a check or figure: why it cannot be read, in a sentence; it is not among the entries."""


def read_checks(typed: TypedChecks) -> ReadChecks:
    """Read all that was typed of an item; what cannot be read stands among the problems and counts as not done."""
    problems: dict[str, str] = {}
    readings: dict[Check, tuple[Reading | None, ...]] = {}
    for check, text in typed.readings.items():
        try:
            readings[check] = parse_readings(text, check)
        except InputRefused as refusal:
            problems[check] = str(refusal)
    figures = {figure: _figure(figure, text, problems) for figure, text in typed.figures.items()}
    entries = Entries(
        visual=typed.seen.get(Check.VISUAL),
        polarity=typed.seen.get(Check.POLARITY),
        functional=typed.seen.get(Check.FUNCTIONAL),
        rcd_button=typed.seen.get(Check.RCD_BUTTON),
        load_kva=figures.get(Figure.LOAD),
        several={check: every for check, every in readings.items() if len(every) > 1},
        left_out=dict(typed.left_out),
        begun=dict(typed.begun),
    )
    for check, every in readings.items():
        entries = _with_first(entries, check, every[0], typed.setup, figures.get(Figure.APPLIED_VOLTS))
    return ReadChecks(entries=entries, problems=problems)


def _figure(figure: Figure, text: str, problems: dict[str, str]) -> Decimal | None:
    name, unit = _FIGURES[figure]
    try:
        return decimal_typed(text, field=name, units=(unit,))
    except InputRefused as refusal:
        problems[figure] = str(refusal)
        return None


def _with_first(
    entries: Entries, check: Check, reading: Reading | None, setup: Setup, applied: Decimal | None
) -> Entries:
    """The entries with the first reading of a check, measured as it was set; the worst is found where it is judged."""
    if check in RCD_CHECKS:
        return replace(entries, rcd_trips={**entries.rcd_trips, check: reading})
    if reading is None or check in LINE_OF:
        return entries if reading is None else _with_second(entries, check, reading, setup)
    if check is Check.EARTH_CONTINUITY:
        earth = EarthEntry(reading=reading, conductor_celsius=setup.conductor_celsius, test_current=setup.earth_current)
        return replace(entries, earth=earth)
    if check is Check.INSULATION:
        insulation = InsulationEntry(reading=reading, volts=setup.insulation_volts, lines_linked=setup.lines_linked)
        return replace(entries, insulation=insulation)
    if check is Check.LEAKAGE:
        return replace(entries, leakage=_leakage(reading, setup, applied))
    if check is Check.MICROWAVE:
        return replace(entries, microwave=reading)
    raise LookupError(f"the entries have no place for {check}")


def _with_second(entries: Entries, check: Check, reading: Reading, setup: Setup) -> Entries:
    volts = {check: setup.second_volts[check]} if check in setup.second_volts else {}
    return replace(entries, second={**entries.second, check: reading}, second_volts={**entries.second_volts, **volts})


def _leakage(reading: Reading, setup: Setup, applied: Decimal | None) -> LeakageEntry:
    return LeakageEntry(
        reading=reading,
        method=setup.leakage_method,
        applied_volts=applied,
        rated_volts=setup.rated_volts,
        two_pole_symmetric=setup.two_pole_symmetric,
        referred=setup.referred,
    )
