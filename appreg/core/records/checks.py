"""The checks of an inspection, by the names that commands, records and reports use."""

from collections.abc import Mapping
from decimal import Decimal
from enum import StrEnum
from typing import Final

from msgspec import Struct, field

from appreg.core.values.readings import Reading


class Check(StrEnum):
    """One check, in the order of an inspection."""

    VISUAL = "visual"
    EARTH_CONTINUITY = "earth-continuity"
    POLARITY = "polarity"
    INSULATION = "insulation"
    UNEARTHED_INSULATION = "unearthed-insulation"
    FUNCTIONAL_EARTH_INSULATION = "functional-earth-insulation"
    LEAKAGE = "leakage"
    UNEARTHED_CURRENT = "unearthed-touch-current"
    FUNCTIONAL_EARTH_CURRENT = "functional-earth-current"
    FUNCTIONAL = "functional"
    RCD_HALF = "rcd-0.5x"
    RCD_1X = "rcd-1x"
    RCD_2X = "rcd-2x"
    RCD_5X = "rcd-5x"
    RCD_BUTTON = "rcd-button"
    MICROWAVE = "microwave"


NO_TRIP: Final = "none"
"""What stands as the reading of a device that did not trip."""


class LeakageMethod(StrEnum):
    """How a leakage current was measured."""

    PROTECTIVE_CONDUCTOR = "protective-conductor"
    TOUCH = "touch"
    SUBSTITUTE = "substitute"


class EarthCurrent(StrEnum):
    """The test currents at which instruments measure earth continuity."""

    MA100 = "100 mA"
    MA200 = "200 mA"
    A10 = "10 A"
    A25 = "25 A"


class InsulationEntry(Struct, frozen=True, kw_only=True):
    """An insulation resistance reading."""

    reading: Reading
    """MΩ."""
    volts: int | None = None
    """Test voltage, V d.c.; None: the rule book's own for the class."""
    lines_linked: bool = False
    """The lines of a three-phase item were linked and measured together."""


class LeakageEntry(Struct, frozen=True, kw_only=True):
    """A leakage current reading."""

    reading: Reading
    """mA."""
    method: LeakageMethod | None = None
    """None: protective-conductor current for Class I, touch current otherwise."""
    applied_volts: Decimal | None = None
    """Substitute method: the voltage applied, V."""
    rated_volts: Decimal | None = None
    """Substitute method: the item's rated voltage, V."""
    two_pole_symmetric: bool = False
    """Substitute method: a two-pole symmetric capacitive circuit."""
    referred: bool = False
    """Substitute method: the instrument shows the current already referred to rated voltage."""


class EarthEntry(Struct, frozen=True, kw_only=True):
    """An earth continuity reading."""

    reading: Reading
    """Ω."""
    conductor_celsius: Decimal | None = None
    """Conductor temperature, where the reading is to be referred to 20 °C."""
    test_current: EarthCurrent | None = None
    """None: not stated."""


class Entries(Struct, frozen=True, kw_only=True):
    """All that was observed and measured on one item; None or absent: not done."""

    visual: bool | None = None
    earth: EarthEntry | None = None
    polarity: bool | None = None
    insulation: InsulationEntry | None = None
    leakage: LeakageEntry | None = None
    functional: bool | None = None
    load_kva: Decimal | None = None
    """What it drew while it worked, kVA; None: not measured."""
    rcd_trips: dict[Check, Reading | None] = field(default_factory=dict)
    """By RCD check: the trip time in ms; None: it did not trip."""
    rcd_button: bool | None = None
    """It tripped when its test button was pressed."""
    microwave: Reading | None = None
    """mW/cm²."""
    second: dict[Check, Reading] = field(default_factory=dict)
    """By check of a second line (core.second_lines): its reading, MΩ or mA."""
    second_volts: dict[Check, int] = field(default_factory=dict)
    """By insulation check of a second line: its test voltage, V d.c.; absent: the rule book's own."""
    several: dict[Check, tuple[Reading | None, ...]] = field(default_factory=dict)
    """By check: every reading where more than one stands side by side, in their order; the worst decides."""
    left_out: dict[Check, str] = field(default_factory=dict)
    """By check that does not apply or cannot be done: the reason, in the person's words."""
    begun: dict[Check, int] = field(default_factory=dict)
    """By check once measured or answered, or failed before: how many readings stood side by side; it stays asked for."""

    @property
    def done(self) -> frozenset[Check]:
        """The checks that anything is entered for."""
        there = (check for check, entry in self._by_check().items() if entry is not None)
        return frozenset((*there, *self.rcd_trips, *self.second))

    @property
    def taken_away(self) -> frozenset[Check]:
        """The checks once begun of which less stands now."""
        return frozenset(check for check, once in self.begun.items() if self.count(check) < once)

    def count(self, check: Check) -> int:
        """How many readings or answers of a check stand side by side; 0 where it is not done."""
        return max(len(self.several.get(check, ())), int(check in self.done))

    def answer(self, check: Check) -> bool | None:
        """The answer to a check without a figure, if there is one."""
        entry = self._by_check().get(check)
        return entry if isinstance(entry, bool) else None

    def reading(self, check: Check) -> Reading | None:
        """The reading of a check, if there is one; None too where a device did not trip."""
        if check in self.rcd_trips or check in self.second:
            return self.rcd_trips.get(check) or self.second.get(check)
        entry = self._by_check().get(check)
        if isinstance(entry, EarthEntry | InsulationEntry | LeakageEntry):
            return entry.reading
        return entry if isinstance(entry, Reading) else None

    @property
    def readings(self) -> Mapping[Check, tuple[Reading, ...]]:
        """By check: every reading that stands there, in their order."""
        every = {check: self.several.get(check) or (self.reading(check),) for check in {*self.done, *self.several}}
        found = {check: tuple(each for each in every[check] if each) for check in Check if check in every}
        return {check: readings for check, readings in found.items() if readings}

    def readings_shown(self, check: Check) -> tuple[str, ...]:
        """The readings of a check as typed, where there is more than one."""
        several = self.several.get(check, ())
        return tuple(reading.typed if reading else NO_TRIP for reading in several) if len(several) > 1 else ()

    def _by_check(self) -> Mapping[Check, bool | Reading | EarthEntry | InsulationEntry | LeakageEntry | None]:
        return {
            Check.VISUAL: self.visual,
            Check.EARTH_CONTINUITY: self.earth,
            Check.POLARITY: self.polarity,
            Check.INSULATION: self.insulation,
            Check.LEAKAGE: self.leakage,
            Check.FUNCTIONAL: self.functional,
            Check.RCD_BUTTON: self.rcd_button,
            Check.MICROWAVE: self.microwave,
        }
