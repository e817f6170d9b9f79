"""The fields of a form, and what was typed into them as exact values or a refusal that names the field."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Final

from msgspec import Struct, field

from appreg.core.values.dates_in_words import date_words
from appreg.core.values.text import clean
from appreg.core.values.typed_values import date_typed, decimal_typed, power_typed, whole_typed
from appreg.errors import InputRefused, asked_for
from appreg.ui.shell.key_words import key_of

NEW_KEY: Final = key_of("form.create", "ins")
"""What adds a new record while a field is open."""
YES: Final = "yes"
NO: Final = ""


class Choice(Struct, frozen=True):
    """One answer of a closed question."""

    value: str
    title: str


YES_OR_NO: Final = (Choice(NO, "no"), Choice(YES, "yes"))


class FormField(Struct, frozen=True, kw_only=True):
    """A question of a form."""

    name: str
    label: str
    value: str = ""
    """What stands in it when the form opens."""
    hint: str = ""
    """Shown in the empty field behind the example: what holds where it stays empty, or when it is needed."""
    choices: tuple[Choice, ...] | None = None
    """None: typed freely."""
    required: bool = False
    creates: str = ""
    """What can be added while this field is open: 'client'; empty: nothing."""


class TypedForm(Struct, frozen=True):
    """What stands in the fields of a form; each reader raises InputRefused naming the field."""

    values: Mapping[str, str]
    labels: Mapping[str, str]
    required: frozenset[str] = field(default_factory=frozenset)

    def text(self, name: str) -> str:
        """A cleaned text, trimmed."""
        with asked_for(name):
            text = clean(self.values[name], field=self.labels[name])
            if not text and name in self.required:
                raise self.refused(name, "nothing is given; it is needed.")
        return text

    def refused(self, name: str, problem: str) -> InputRefused:
        """What is wrong with a field, to be raised."""
        return InputRefused(problem, subject=self.labels[name], field=name)

    def decimal(self, name: str, *units: str) -> Decimal | None:
        """An exact number, None where nothing is typed."""
        with asked_for(name):
            return decimal_typed(self.values[name], field=self.labels[name], units=units)

    def whole(self, name: str, *units: str) -> int | None:
        """A whole number, None where nothing is typed."""
        with asked_for(name):
            return whole_typed(self.values[name], field=self.labels[name], units=units)

    def power(self, name: str) -> int | None:
        """A power in W, None where nothing is typed."""
        with asked_for(name):
            return power_typed(self.values[name], field=self.labels[name])

    def day(self, name: str, *, today: date) -> date | None:
        """A date, None where nothing is typed."""
        with asked_for(name):
            day = date_typed(self.values[name], field=self.labels[name], today=today)
        if day is None and name in self.required:
            raise self.refused(name, "no date is given; write it as in 24 Nov 2026.")
        return day

    def flag(self, name: str) -> bool:
        """A yes or no."""
        return self.values[name] == YES


def number_shown(number: Decimal | int | None, unit: str = "") -> str:
    """Put a kept number back into a field."""
    return "" if number is None else f"{number} {unit}".strip()


def day_shown(day: date | None) -> str:
    """Put a kept date back into a field."""
    return "" if day is None else date_words(day)


def flag_shown(flag: bool) -> str:
    """Put a kept yes or no back into a field."""
    return YES if flag else NO
