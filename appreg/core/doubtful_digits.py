"""Doubt readings with more digits than the instrument shows: they were not read from its display."""

from collections.abc import Iterator
from decimal import Decimal

from appreg.core.checks import Check, Entries
from appreg.core.instrument_accuracy import InstrumentAccuracy
from appreg.core.limits import terse
from appreg.core.readings import Reading


def doubtful_digits(entries: Entries, stated: InstrumentAccuracy) -> Iterator[str]:
    """A sentence for each reading finer than the last digit that the instrument states for it."""
    for check, reading in _readings(entries):
        accuracy = None if reading.value is None else stated.of(check, reading.value)
        step = accuracy.resolution if accuracy is not None else Decimal(0)
        if reading.value is not None and step and reading.value % step:
            unit = reading.unit.value
            yield (
                f"doubt the reading of {check}, {terse(reading.value)} {unit}: the instrument shows steps of "
                f"{terse(step)} {unit} there (its stated accuracy)"
            )


def _readings(entries: Entries) -> Iterator[tuple[Check, Reading]]:
    if entries.earth is not None:
        yield Check.EARTH_CONTINUITY, entries.earth.reading
    if entries.insulation is not None:
        yield Check.INSULATION, entries.insulation.reading
    if entries.leakage is not None:
        yield Check.LEAKAGE, entries.leakage.reading
    for check, trip in entries.rcd_trips.items():
        if trip is not None:
            yield check, trip
    yield from entries.second.items()
    if entries.microwave is not None:
        yield Check.MICROWAVE, entries.microwave
