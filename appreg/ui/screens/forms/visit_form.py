"""The form that starts a visit: who works, with which instrument, and what must be said before."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from appreg.core.records.kept_records import Instrument, Person, Site, Visit
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused, asked_for
from appreg.tasks.inspecting.choose_visit import visits_of
from appreg.tasks.inspecting.start_visit import cautions_for, refuse_day_ahead, start_visit
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_fields import (
    NEW_KEY,
    NO,
    YES_OR_NO,
    Choice,
    FormField,
    TypedForm,
    day_shown,
    flag_shown,
)
from appreg.ui.screens.forms.job_forms import JobForm
from appreg.ui.screens.forms.people_forms import InstrumentForm, PersonForm
from appreg.ui.screens.forms.record_choices import instrument_choices, job_choices, person_choices
from appreg.ui.screens.forms.record_form import RecordForm


class VisitForm(RecordForm[Visit]):
    """A day's work at one site."""

    def __init__(self, desk: Desk, site: Site, existing: Visit | None = None) -> None:
        super().__init__(desk, existing)
        self._site = site
        self._offered = desk.today
        """The day that stands in the field of a new visit until another is typed."""
        self.title = f"Visit · {site.name}" if existing else f"New visit · {site.name}"

    def fields(self) -> Sequence[FormField]:
        """Date, person, instrument with its check of the day, and the report on the fixed wiring done alongside."""
        return (*self._when_and_by_whom(), *self._found_there())

    def _when_and_by_whom(self) -> Sequence[FormField]:
        was = self._existing or self._last_visit()
        return (
            FormField(
                name="date",
                label="Date",
                value=day_shown(self._existing.date if self._existing else self._offered),
                required=True,
            ),
            FormField(
                name="person",
                label="Person",
                value=was.person if was else "",
                choices=person_choices(self.desk.register),
                required=True,
                creates="person",
            ),
            FormField(
                name="instrument",
                label="Instrument",
                value=(was.instrument or "") if was else "",
                choices=instrument_choices(self.desk.register),
                creates="instrument",
            ),
        )

    def _found_there(self) -> Sequence[FormField]:
        return (
            FormField(
                name="instrument_check",
                label="Check of the day",
                value=self._existing.instrument_check if self._existing else "",
                hint="empty: the report says it is missing",
            ),
            FormField(
                name="fixed_wiring_reference",
                label="Fixed wiring report",
                value=self._existing.fixed_wiring_reference if self._existing else "",
            ),
            FormField(
                name="additional_protection",
                label="Sockets on 30 mA",
                value=flag_shown(self._existing.additional_protection) if self._existing else NO,
                choices=YES_OR_NO,
                hint="yes where they were found behind RCDs of 30 mA or less: long leads then need none of their own",
            ),
            FormField(
                name="notes",
                label="Notes",
                value=self._existing.notes if self._existing else "",
            ),
            FormField(
                name="period_colour",
                label="Colour of the period",
                value=self._existing.period_colour if self._existing else "",
            ),
            FormField(
                name="job",
                label="Part of the job",
                value=(self._existing.job or "") if self._existing else "",
                choices=job_choices(self.desk.register, self._site.uid),
                creates="job",
            ),
        )

    def keep(self, typed: TypedForm) -> Visit:
        """Start or change the visit."""
        on = self._day(typed)
        if self._existing is None or on != self._existing.date:
            with asked_for("date"):
                refuse_day_ahead(on, today=self.desk.today, field="Date")
        person = Uid(typed.values["person"])
        instrument = Uid(typed.values["instrument"]) or None
        if not person:
            raise InputRefused(
                f"Person: none is chosen; press {NEW_KEY} in this field to add whoever inspects and signs.",
                field="person",
            )
        reference, notes = typed.text("fixed_wiring_reference"), typed.text("notes")
        checked, colour = typed.text("instrument_check"), typed.text("period_colour")
        protected, job = typed.flag("additional_protection"), Uid(typed.values["job"]) or None
        if self._existing:
            return self.change(
                self._existing,
                date=on,
                person=person,
                instrument=instrument,
                fixed_wiring_reference=reference,
                notes=notes,
                instrument_check=checked,
                period_colour=colour,
                additional_protection=protected,
                job=job,
            )
        return start_visit(
            self.desk.register,
            self.desk.who,
            site=self._site.uid,
            on=on,
            person=person,
            instrument=instrument,
            fixed_wiring_reference=reference,
            notes=notes,
            instrument_check=checked,
            period_colour=colour,
            additional_protection=protected,
            job=job,
        )

    def new_for(self, name: str) -> Form[Any] | None:
        """People, instruments and jobs can be added in place."""
        if name == "person":
            return PersonForm(self.desk)
        if name == "job":
            return JobForm(self.desk, self._site)
        return InstrumentForm(self.desk) if name == "instrument" else None

    def answers(self, name: str) -> Sequence[Choice]:
        """People, instruments or jobs as the register now stands."""
        if name == "person":
            return person_choices(self.desk.register)
        if name == "job":
            return job_choices(self.desk.register, self._site.uid)
        return instrument_choices(self.desk.register) if name == "instrument" else super().answers(name)

    def cautions(self, typed: TypedForm) -> Sequence[str]:
        """What must be said of such a visit before the work starts."""
        try:
            on = self._day(typed)
        except InputRefused:
            on = self.desk.today
        if not typed.values["person"]:
            return ("Name the competent person who inspects and signs.",)
        instrument = typed.values["instrument"]
        return cautions_for(
            on=on,
            person=self.desk.register.get(Person, Uid(typed.values["person"])),
            instrument=self.desk.register.get(Instrument, Uid(instrument)) if instrument else None,
            site=self._site,
        )

    def _day(self, typed: TypedForm) -> date:
        """The day typed; where the day has turned over an open form, the one it offered becomes the new day."""
        today = self.desk.today
        on = typed.day("date", today=today) or today
        return today if self._existing is None and on == self._offered else on

    def _last_visit(self) -> Visit | None:
        return next(reversed(visits_of(self.desk.register)), None)
