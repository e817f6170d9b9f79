"""What F1 says of the line at hand on the Bench: how it is answered, with an example."""

from collections.abc import Mapping
from typing import Final

from appreg.core.records.checks import Check
from appreg.ui.screens.bench.bench_lines import APPLIED_VOLTS, LOAD, BenchLine
from appreg.ui.shell.field_help import FieldHelp
from appreg.ui.shell.key_words import key_of

_SPACE: Final = key_of("bench.all_ok", "space")
_FAIL: Final = key_of("bench.fail", "x")
_TURN: Final = key_of("bench.turn", "^t")
_INSULATION: Final = FieldHelp(
    "What the instrument shows, MΩ; > where it ends its range. OL proves nothing about a lower limit. "
    f"{_TURN} turns the voltage.",
    ">299",
)
_CURRENT: Final = FieldHelp(f"What the instrument shows, mA. {_TURN} says how it was measured.", "0.35")
_TRIP: Final = FieldHelp("The time to trip at this current, ms; both half-waves with / between them.", "28/24")

LINE_HELP: Final[Mapping[Check, FieldHelp]] = {
    Check.VISUAL: FieldHelp(
        f"Each word is one thing to look at: {_SPACE} passes all that are not marked, {_FAIL} fails the word at the "
        "cursor and asks why, ← → move."
    ),
    Check.EARTH_CONTINUITY: FieldHelp(
        "What the instrument shows, Ω or mΩ, as you read it: 0.08, 0,08, 0R08 or 85 mΩ. Several contacts stand with / "
        f"between them, and the worst decides. {_TURN} turns the test current.",
        "0.12/0.08",
    ),
    Check.POLARITY: FieldHelp(f"{_SPACE} where live, neutral and earth sit right at both ends, {_FAIL} where not."),
    Check.INSULATION: _INSULATION,
    Check.UNEARTHED_INSULATION: _INSULATION,
    Check.FUNCTIONAL_EARTH_INSULATION: _INSULATION,
    Check.LEAKAGE: _CURRENT,
    Check.UNEARTHED_CURRENT: _CURRENT,
    Check.FUNCTIONAL_EARTH_CURRENT: _CURRENT,
    Check.FUNCTIONAL: FieldHelp(
        f"{_SPACE} where it does what it should, {_FAIL} where not. Never energise what failed."
    ),
    Check.RCD_HALF: FieldHelp(
        f"{_SPACE} where it did not trip at half its rated current; otherwise the time, ms.", "120"
    ),
    Check.RCD_1X: _TRIP,
    Check.RCD_2X: _TRIP,
    Check.RCD_5X: _TRIP,
    Check.RCD_BUTTON: FieldHelp(f"{_SPACE} where its test button trips it, {_FAIL} where not."),
    Check.MICROWAVE: FieldHelp("The highest reading along the door, as the instrument shows it, mW/cm².", "0.4"),
}
_FIGURES: Final = {
    APPLIED_VOLTS: FieldHelp(
        "The voltage that the instrument applies, V; the current is worked out for the mains.", "40"
    ),
    LOAD: FieldHelp("The load that the instrument shows while it runs, kVA.", "2.3"),
}


def help_of_line(line: BenchLine) -> FieldHelp:
    """What F1 says of a line."""
    return _FIGURES.get(line.id) or LINE_HELP[line.check]
