"""What an instrument at the bench sends: how its lines are read, and which port they come on."""

from collections.abc import Callable
from pathlib import Path

from msgspec import Struct

from appreg.core.records.checks import Check
from appreg.errors import InputRefused
from appreg.exchange.instrument_lines import InstrumentLines, ReadPart, read_line, reading_typed
from appreg.exchange.instrument_lines_file import read_lines_file
from appreg.exchange.instrument_port import PortReader
from appreg.tasks.desk.keep_settings import Settings


class LandingReading(Struct, frozen=True, kw_only=True):
    """A reading, and the check on whose line it lands."""

    check: Check
    typed: str
    """As a person would type it there."""


def lines_of_instrument(settings: Settings) -> InstrumentLines | None:
    """How lines are read, None where nobody said; raises InputRefused for a file that cannot be used."""
    if not settings.instrument_lines:
        return None
    try:
        path = Path(settings.instrument_lines).expanduser()
    except RuntimeError as problem:
        raise InputRefused(f"{settings.instrument_lines}: no such home; write the file in full.") from problem
    return read_lines_file(path)


def landing_readings(lines: InstrumentLines, text: str, at_hand: Check | None) -> tuple[LandingReading, ...]:
    """The readings of a line with their checks, `at_hand` where it does not say which; none where it says nothing.

    Raises InputRefused where any of them cannot be taken: nothing of such a line is.
    """
    return tuple(_landing(lines, part, at_hand) for part in read_line(lines, text))


def _landing(lines: InstrumentLines, part: ReadPart, at_hand: Check | None) -> LandingReading:
    check = part.check or at_hand
    if check is None:
        raise InputRefused(
            "The line of the instrument does not say its check, and no reading is typed here; go to one."
        )
    return LandingReading(check=check, typed=reading_typed(lines, part, check))


def port_reader(
    settings: Settings,
    lines: InstrumentLines,
    *,
    stopped: Callable[[], bool],
    took: Callable[[str], None],
    told: Callable[[str], None],
) -> PortReader | None:
    """What reads the port that is set, in a thread of its own; None where none is."""
    if not settings.instrument_port:
        return None
    return PortReader(settings.instrument_port, lines.port, stopped=stopped, took=took, told=told)
