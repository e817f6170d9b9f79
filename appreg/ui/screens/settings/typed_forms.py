"""The forms for settings that are typed."""

from collections.abc import Sequence

from appreg.errors import InputRefused
from appreg.tasks.keep_settings import checked_days, checked_who
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_fields import FormField, TypedForm


class DaysForm(Form[int]):
    """Asks how many days ahead 'soon' reaches."""

    title = "Settings · due within days"

    def __init__(self, desk: Desk, days: int) -> None:
        super().__init__(desk)
        self._days = days

    def fields(self) -> Sequence[FormField]:
        """The days."""
        return (FormField(name="days", label="Due within days", value=str(self._days), required=True),)

    def keep(self, typed: TypedForm) -> int:
        """The days, within what lists can use."""
        days = typed.whole("days", "days", "d")
        if days is None:
            raise InputRefused("Due within days: nothing is given; write a number of days.")
        return checked_days(days)


class WhoForm(Form[str]):
    """Asks who is working."""

    title = "Settings · who is working"

    def __init__(self, desk: Desk, who: str, machine: str) -> None:
        """`who` is what is set now, `machine` what holds where nothing is."""
        super().__init__(desk)
        self._who, self._machine = who, machine

    def fields(self) -> Sequence[FormField]:
        """The name."""
        return (FormField(name="who", label="Who is working", value=self._who, hint=self._machine),)

    def keep(self, typed: TypedForm) -> str:
        """The name in one line, or nothing."""
        return checked_who(typed.values["who"])

    def cautions(self, typed: TypedForm) -> Sequence[str]:
        """What the name is for."""
        del typed
        return ("The journal keeps this name with every change; it stands in for no signature.",)
