"""What a form asks and what it does with the answers; the screen that draws it is always the same."""

from abc import ABC, abstractmethod
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import Any, Generic, TypeVar

from msgspec import Struct

from appreg.register.opening.register_file import Register
from appreg.ui.screens.forms.field_helps import FORM_HELP
from appreg.ui.screens.forms.form_fields import Choice, FormField, TypedForm
from appreg.ui.shell.field_help import FieldHelp

Kept = TypeVar("Kept")


class Desk(Struct, frozen=True):
    """What every form works with."""

    register: Register
    who: str
    day: date | Callable[[], date]

    @property
    def today(self) -> date:
        """Today; it may turn while a form is open."""
        return self.day() if callable(self.day) else self.day


class Offer(Struct, frozen=True):
    """Other answers for a field, and the one to choose."""

    choices: Sequence[Choice]
    value: str


class Form(ABC, Generic[Kept]):
    """The questions of one kind of record; keeping them returns the record."""

    title: str = ""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk

    @abstractmethod
    def fields(self) -> Sequence[FormField]:
        """The questions, in the order they are asked."""

    @abstractmethod
    def keep(self, typed: TypedForm) -> Kept:
        """Call the task; an AppregError keeps the form open, InputRefused beside the field that it names."""

    def help_of(self, name: str) -> FieldHelp:
        """What F1 says of a field."""
        return FORM_HELP[type(self).__name__][name]

    def new_for(self, name: str) -> "Form[Any] | None":
        """The form that adds a new record for a field."""
        del name
        return None

    def answers(self, name: str) -> Sequence[Choice]:
        """The answers of a field as the register now stands."""
        return next((field.choices or () for field in self.fields() if field.name == name), ())

    def offers(self, typed: TypedForm, changed: str) -> Mapping[str, Offer]:
        """What other fields offer now that one was changed."""
        del typed, changed
        return {}

    def cautions(self, typed: TypedForm) -> Sequence[str]:
        """What must be said before the form is kept, the most pressing first."""
        del typed
        return ()
