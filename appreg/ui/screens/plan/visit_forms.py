"""The forms for visits of a plan: what is agreed with the site, on which other day, under which name a plan is kept."""

from collections.abc import Callable, Sequence
from datetime import date
from typing import Final

from appreg.core.values.uids import Uid
from appreg.tasks.planning.book_in_plan import Booking
from appreg.tasks.planning.live_plan import LiveVisit
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_fields import Choice, FormField, TypedForm, day_shown
from appreg.ui.screens.forms.record_choices import NONE, crew_choices, person_choices

_BOOKED: Final = "booked"
_CONFIRMED: Final = "confirmed"
_CANCELLED: Final = "cancelled"


class BookingForm(Form[bool]):
    """Asks what is agreed with a site for a visit."""

    def __init__(self, desk: Desk, visit: LiveVisit, act: Callable[[Booking | None], None]) -> None:
        """`act` books, changes or (None) cancels; what it refuses keeps the form open."""
        super().__init__(desk)
        self._visit = visit
        self._act = act
        self.title = f"{'Booked visit' if visit.booked else 'Book a visit'} · {visit.site.name}"

    def fields(self) -> Sequence[FormField]:
        """When, who, and whether the site has agreed."""
        visit, was = self._visit, self._visit.booked
        crew = was.crew if was else visit.crew.uid if visit.crew else None
        states = [Choice(_BOOKED, "booked, not yet confirmed"), Choice(_CONFIRMED, "confirmed by the site")]
        if was:
            states.append(Choice(_CANCELLED, "no longer booked"))
        register = self.desk.register
        return (
            FormField(name="day", label="Day", value=day_shown(visit.day), required=True),
            FormField(
                name="person",
                label="Person",
                value=(was.person if was else None) or "",
                choices=(NONE, *person_choices(register)),
            ),
            FormField(name="crew", label="Crew", value=crew or "", choices=(NONE, *crew_choices(register))),
            FormField(
                name="state",
                label="Agreed",
                value=_CONFIRMED if was and was.confirmed else _BOOKED,
                choices=tuple(states),
            ),
            FormField(name="note", label="Note", value=was.note if was else ""),
        )

    def keep(self, typed: TypedForm) -> bool:
        """Book, change or cancel it."""
        if typed.values["state"] == _CANCELLED:
            self._act(None)
            return True
        booking = Booking(
            day=typed.day("day", today=self.desk.today) or self._visit.day,
            person=_chosen(typed.values["person"], person_choices(self.desk.register)),
            crew=_chosen(typed.values["crew"], crew_choices(self.desk.register)),
            confirmed=typed.values["state"] == _CONFIRMED,
            note=typed.text("note"),
        )
        self._act(booking)
        return True


class OtherDayForm(Form[bool]):
    """Asks on which day a visit, or some of its items, is to be done."""

    def __init__(self, desk: Desk, title: str, now: date, act: Callable[[date], None]) -> None:
        """`act` does it; what it refuses keeps the form open."""
        super().__init__(desk)
        self._now = now
        self._act = act
        self.title = title

    def fields(self) -> Sequence[FormField]:
        """The day."""
        return (FormField(name="day", label="Day", value=day_shown(self._now), required=True),)

    def keep(self, typed: TypedForm) -> bool:
        """Do it."""
        self._act(typed.day("day", today=self.desk.today) or self._now)
        return True


class PlanNameForm(Form[bool]):
    """Asks under which name a plan is kept."""

    title = "Keep the plan"

    def __init__(self, desk: Desk, now: str, act: Callable[[str], None]) -> None:
        """`act` keeps it; what it refuses keeps the form open."""
        super().__init__(desk)
        self._now = now
        self._act = act

    def fields(self) -> Sequence[FormField]:
        """The name."""
        return (FormField(name="name", label="Name", value=self._now, required=True),)

    def keep(self, typed: TypedForm) -> bool:
        """Keep it."""
        self._act(typed.text("name"))
        return True


def _chosen(value: str, choices: Sequence[Choice]) -> Uid | None:
    return Uid(value) if value and any(each.value == value for each in choices) else None
