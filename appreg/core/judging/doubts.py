"""Readings that can hardly have been read off a display: no pass rests on one until a person says it was read so."""

from collections.abc import Iterator
from decimal import Decimal
from typing import Final

from msgspec import Struct

from appreg.core.judging.instrument_accuracy import InstrumentAccuracy
from appreg.core.records.checks import Check, Entries
from appreg.core.rules.check_rules import CheckRules
from appreg.core.rules.limits import terse
from appreg.core.rules.rule_values import Basis, Citation, cited
from appreg.core.values.readings import Comparator, Reading

_SAFE_WORK: Final = Citation(source="safe working", basis=Basis.COMMON_PRACTICE)


class Doubt(Struct, frozen=True, kw_only=True):
    """What speaks against one reading."""

    check: Check
    words: str
    """A sentence with its source; it names the reading, so that another reading is another doubt."""
    confirmed: bool = False
    """A person said that it was read so."""

    @property
    def kept(self) -> str:
        """As it stands with a kept inspection: with what became of it."""
        return f"{self.words}; {'confirmed: it was read so' if self.confirmed else 'not confirmed'}"


def doubts_on(rules: CheckRules, entries: Entries, stated: InstrumentAccuracy) -> tuple[Doubt, ...]:
    """Every doubt about what was entered; of several readings of a check each is looked at."""
    doubts = (
        Doubt(check=check, words=words)
        for check, readings in entries.readings.items()
        for reading in readings
        for words in (*_less_than_the_cord(check, reading, rules), *_finer_than_shown(check, reading, stated))
    )
    return tuple(dict.fromkeys(doubts))


def _less_than_the_cord(check: Check, reading: Reading, rules: CheckRules) -> Iterator[str]:
    """An earth reading below what the cord itself has was taken somewhere else than at the plug's pin."""
    if check is not Check.EARTH_CONTINUITY or reading.value is None or reading.comparator is Comparator.GREATER:
        return
    own = rules.cord_ohm
    exponent = reading.value.as_tuple().exponent
    less = reading.comparator is Comparator.LESS
    step = Decimal(0) if less else Decimal(1).scaleb(exponent if isinstance(exponent, int) else 0)
    if reading.value == 0 or reading.value + step < own:
        than = f"less than the cord itself has, {terse(round(own, 4))} Ω" if own else "nothing at all"
        value = f"{'<' if less else ''}{terse(reading.value)}"
        yield cited(f"doubt the earth reading of {value} Ω: {than}; clip on the plug's pin", _SAFE_WORK)


def _finer_than_shown(check: Check, reading: Reading, stated: InstrumentAccuracy) -> Iterator[str]:
    """A reading finer than the last digit that the instrument states for it was not read from its display."""
    accuracy = stated.of(check, reading.value) if stated.ranges and reading.value is not None else None
    step = accuracy.resolution if accuracy is not None else Decimal(0)
    if reading.value is not None and step and reading.value % step:
        unit = reading.unit.value
        yield (
            f"doubt the reading of {check}, {terse(reading.value)} {unit}: the instrument shows steps of "
            f"{terse(step)} {unit} there (its stated accuracy)"
        )
