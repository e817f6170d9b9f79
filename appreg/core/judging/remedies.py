"""What puts right an item that failed a check: general sentences of common practice, none of which is a diagnosis."""

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Final

from appreg.core.records.checks import Check

_TRIPS: Final = "replace the residual current device: it is not adjusted or mended"
_EVERY_LEAK: Final = "find what leaks (damp, dirt, a worn cord or element, a filter); dry, clean or renew it"

REMEDIES: Final[Mapping[Check, str]] = MappingProxyType(
    {
        Check.VISUAL: "renew what was found damaged, or what does not belong there, with the maker's part",
        Check.EARTH_CONTINUITY: (
            "find where the protective conductor is broken, loose or corroded (plug, cord, its joint to the metal parts); "
            "tighten or renew it"
        ),
        Check.POLARITY: (
            "connect live, neutral and earth each to its own terminal; a moulded plug is cut off and destroyed, and a new one fitted"
        ),
        Check.INSULATION: _EVERY_LEAK,
        Check.UNEARTHED_INSULATION: _EVERY_LEAK,
        Check.FUNCTIONAL_EARTH_INSULATION: _EVERY_LEAK,
        Check.LEAKAGE: _EVERY_LEAK,
        Check.UNEARTHED_CURRENT: _EVERY_LEAK,
        Check.FUNCTIONAL_EARTH_CURRENT: _EVERY_LEAK,
        Check.FUNCTIONAL: "have it mended as its maker says, or scrap it",
        Check.RCD_HALF: _TRIPS,
        Check.RCD_1X: _TRIPS,
        Check.RCD_2X: _TRIPS,
        Check.RCD_5X: _TRIPS,
        Check.RCD_BUTTON: _TRIPS,
        Check.MICROWAVE: "have door, seal and interlocks mended by somebody who works on microwave ovens, or scrap it",
    }
)
"""By check; common practice."""


def remedies_for(failed: Iterable[str]) -> tuple[str, ...]:
    """What would put right an item that failed these checks, by their names, each sentence once."""
    names = set(failed)
    return tuple(dict.fromkeys(REMEDIES[check] for check in Check if check.value in names))
