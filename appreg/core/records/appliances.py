"""What an appliance is to the trade: its class, its type, and the facts a limit depends on."""

from decimal import Decimal
from enum import StrEnum
from functools import cached_property
from typing import Final

from msgspec import Struct


class ApplianceClass(StrEnum):
    """How an item protects against electric shock."""

    CLASS_I = "1"
    CLASS_II = "2"
    CLASS_III = "3"
    UNKNOWN = "unknown"

    @cached_property
    def judged_as(self) -> "ApplianceClass":
        """The class whose limits apply: an item of unknown class is judged as Class I."""
        return ApplianceClass.CLASS_I if self is ApplianceClass.UNKNOWN else self

    @property
    def label(self) -> str:
        """The class as plates and forms write it."""
        return _CLASS_LABELS[self]


_CLASS_LABELS = {
    ApplianceClass.CLASS_I: "Class I",
    ApplianceClass.CLASS_II: "Class II",
    ApplianceClass.CLASS_III: "Class III",
    ApplianceClass.UNKNOWN: "class not known",
}


class EquipmentType(StrEnum):
    """The equipment types of the UK Code of Practice; cord sets and extension leads apart."""

    HAND_HELD = "hand-held"
    PORTABLE = "portable"
    MOVABLE = "movable"
    STATIONARY = "stationary"
    FIXED = "fixed"
    BUILT_IN = "built-in"
    IT = "it"
    CORD_SET = "cord-set"
    EXTENSION_LEAD = "extension-lead"

    @cached_property
    def is_lead(self) -> bool:
        """Cord sets and extension leads need an earth conductor and a polarity check."""
        return self in {EquipmentType.CORD_SET, EquipmentType.EXTENSION_LEAD}

    @property
    def label(self) -> str:
        """The type in words."""
        return "IT" if self is EquipmentType.IT else self.value.replace("-set", " set").replace("-lead", " lead")


class RcdKind(StrEnum):
    """Residual current devices in leads and plugs, by the standard that times them."""

    GENERAL = "general"
    S = "s"
    BS4293 = "bs4293"
    PORTABLE = "portable"
    ANZ_1 = "anz-1"
    ANZ_2 = "anz-2"


class RcdMounting(StrEnum):
    """Where a residual current device that is an item of its own sits."""

    PORTABLE = "portable"
    FIXED = "fixed"


class Connection(StrEnum):
    """How an item is connected to its supply."""

    PLUG = "plug"
    HARD_WIRED = "hard-wired"
    INDUSTRIAL = "industrial-connector"
    BATTERY = "battery"

    @property
    def label(self) -> str:
        """The connection in words."""
        return self.value.replace("-connector", " connector")


class Owner(StrEnum):
    """Whose an item is, where it is let with a home."""

    LANDLORD = "landlord"
    TENANT = "tenant"
    OTHER = "other"


NOT_THE_LANDLORDS: Final = frozenset({Owner.TENANT, Owner.OTHER})
"""Whose items a landlord's duties do not reach; where nobody said whose an item is, they do."""


class Fact(StrEnum):
    """What limits and requirements rest on; each is assumed from a category, or known from the item itself."""

    CLASS = "class"
    TYPE = "type"
    CORD_SIZE = "cord-size"
    CORD_LENGTH = "cord-length"
    HEATING = "heating"
    POWER = "power"
    FUSE = "fuse"
    VOLTAGE = "voltage"
    PHASES = "phases"
    RCD = "rcd"
    RCD_RATING = "rcd-rating"
    CONNECTION = "connection"
    UNEARTHED_METAL = "unearthed-metal"
    FUNCTIONAL_EARTH = "functional-earth"


class ServiceState(StrEnum):
    """Whether an appliance may be used, and if not, why."""

    IN_SERVICE = "in service"
    WITHDRAWN = "withdrawn"
    MISSING = "missing"
    DISPOSED = "disposed"


class Cord(Struct, frozen=True, kw_only=True):
    """The flexible cord of an item, or the cord that an item is."""

    csa_mm2: Decimal
    """Cross-section of the protective conductor, mm²."""
    length_m: Decimal
    """Length, m."""
    tinned: bool = False
    """Tinned copper strands (a slightly higher resistance)."""


class ItemFacts(Struct, frozen=True, kw_only=True):
    """All that a rule book needs to know of an item in order to judge it."""

    appliance_class: ApplianceClass
    equipment_type: EquipmentType
    cord: Cord | None = None
    """None where the cord's size or length is not known: the flat limit applies."""
    power_kw: Decimal | None = None
    """Rated input power, kW."""
    heating: bool = False
    """Heats or cooks."""
    microwave: bool = False
    """A microwave oven: leakage of microwaves is measured."""
    rcd: RcdKind | None = None
    """The residual current device fitted in the lead or plug, if any."""
    rcd_rating_ma: Decimal | None = None
    """Rated residual operating current IΔn, mA."""
    rcd_delay_ms: Decimal | None = None
    """Rated time delay of a delayed device, ms."""
    fuse_a: Decimal | None = None
    """The fuse found in the plug, A."""
    moulded_plug: bool = False
    """The plug is moulded onto the cord."""
    double_leakage: bool = False
    """The rule book's condition for doubling the leakage limit is met."""
    unsuitable_500v: bool = False
    """500 V d.c. must not be applied: electronics or surge protection would suffer or mislead."""
    flat_earth_limit_ohm: Decimal | None = None
    """The flat limit the operator chose where the cord is not known, Ω."""
    mineral_insulated: bool = False
    """The heating elements are mineral-insulated."""
    rated_current_a: Decimal | None = None
    """Rated current, A, where it is known to exceed what a plug carries."""
    scope: str = ""
    """Which standard of its own governs such items, in words; empty: the rule book does."""
    is_rcd: bool = False
    """The item is itself a residual current device, of whatever kind."""
    connection: Connection = Connection.PLUG
    rated_volts: int | None = None
    """None: the usual supply."""
    phases: int = 1
    owner: Owner | None = None
    """None: not stated."""
    assumed: tuple[Fact, ...] = ()
    """The facts that a category gave and nobody has read from the item, in the order of Fact."""
    measured: tuple[Fact, ...] = ()
    """The facts that somebody has measured on the item, in the order of Fact; as sure as what is read."""
    unearthed_metal: bool = False
    """Class I with touchable metal that is not connected to the protective conductor."""
    functional_earth: bool = False
    """Class II with an earth conductor that serves its function, not its safety."""
    additional_protection: bool = False
    """The sockets it is used on were found behind residual current devices of 30 mA or less."""
