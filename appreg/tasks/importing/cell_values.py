"""Cells of a list, written as people type them into the fields of a record, read as that record's values."""

from collections.abc import Callable, Mapping
from datetime import date
from decimal import Decimal
from enum import StrEnum
from functools import lru_cache, partial
from types import NoneType
from typing import Any, Final, get_args

from appreg.core.values.text import LONGEST, clean
from appreg.core.values.typed_values import date_typed, decimal_typed, power_typed, whole_typed
from appreg.errors import InputRefused
from appreg.schedule.kept_days import line_of
from appreg.schedule.typed_closures import closures_typed
from appreg.schedule.typed_days import rule_typed
from appreg.tasks.importing.row_plans import RowProblem
from appreg.tasks.records.check_record import LONG_FIELDS, LONGEST_NOTE

_FLAGS: Final[Mapping[str, bool]] = {"yes": True, "no": False}
_UNITS: Final[Mapping[str, tuple[str, ...]]] = {
    "cord_csa_mm2": ("mm²", "mm2"),
    "cord_length_m": ("m",),
    "fuse_a": ("A",),
    "rcd_rating_ma": ("mA",),
    "rcd_delay_ms": ("ms",),
    "rated_volts": ("V",),
    "rated_current_a": ("A",),
    "flat_earth_limit_ohm": ("Ω", "ohm"),
}
"""By field: units that may follow its figure."""
_REMEMBERED: Final = 5000
_MOST_FIGURES: Final = 15
"""Characters of a figure; anything longer is none off a plate."""


class CellReader:
    """Reads the cells of one kind of record; the same text of the same field is read once."""

    def __init__(self, kind: type[Any], *, today: date) -> None:
        """Read by the declared fields of a record; `today` is what that word means in a cell."""
        self._today = today
        self.readers: Mapping[str, Callable[[str], Any]] = {
            name: self._reader(name, hint) for name, hint in kind.__annotations__.items()
        }
        """By field: what reads a cell anew, for texts that hardly come again."""
        self.value: Callable[[str, str], Any] = lru_cache(_REMEMBERED)(self._value)
        """A field's value from its cell; raises InputRefused saying why it cannot be."""

    @property
    def names(self) -> frozenset[str]:
        """The fields that are known."""
        return frozenset(self.readers)

    def _value(self, name: str, text: str) -> Any:
        return self.readers[name](text)

    def _reader(self, name: str, hint: Any) -> Callable[[str], Any]:
        inner = next((each for each in get_args(hint) if each is not NoneType), hint)
        inner = getattr(inner, "__supertype__", inner)
        if isinstance(inner, type) and issubclass(inner, StrEnum):
            return partial(_choice, name, inner)
        longest = LONGEST_NOTE if name in LONG_FIELDS else LONGEST
        readers: Mapping[Any, Callable[[str], Any]] = {
            Decimal: partial(_figure, decimal_typed, name),
            int: partial(_figure, whole_typed, name),
            bool: partial(_flag, name),
            date: partial(date_typed, field=name, today=self._today),
        }
        own: Mapping[str, Callable[[str], Any]] = {
            "power_w": partial(power_typed, field=name),
            "access_days": rule_typed,
            "closures": partial(_spans, name, today=self._today),
            "preferred": partial(_spans, name, today=self._today),
        }
        return own.get(name) or readers.get(inner) or partial(clean, field=name, longest=longest)


def problem_of(column: str, refusal: InputRefused) -> RowProblem:
    """What was refused of a cell, as a problem of its row."""
    what, _, todo = refusal.problem.rstrip(".").rpartition("; ")
    return RowProblem(column, what or todo, todo if what else "correct the cell")


def _figure(read: Callable[..., Any], name: str, text: str) -> Any:
    if len(text) > _MOST_FIGURES:
        raise InputRefused(f"“{text[:_MOST_FIGURES]}…” is not a figure; write it as in 13 or 0.75.", subject=name)
    return read(text, field=name, units=_UNITS.get(name, ()))


def _flag(name: str, text: str) -> bool:
    try:
        return _FLAGS[text.casefold()]
    except KeyError:
        raise InputRefused(f"“{text[:40]}” is neither yes nor no; write one of them.", subject=name) from None


def _choice(name: str, kind: type[StrEnum], text: str) -> StrEnum:
    wanted = text.casefold()
    for each in kind:
        if wanted in {each.value.casefold(), str(getattr(each, "label", each.value)).casefold()}:
            return each
    words = ", ".join(each.value for each in kind)
    raise InputRefused(f"“{text[:40]}” is not one of {words}; write one of them.", subject=name)


def _spans(name: str, text: str, *, today: date) -> tuple[str, ...]:
    return tuple(line_of(each) for each in closures_typed(text, field=name, today=today))
