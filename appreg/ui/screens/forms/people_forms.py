"""The forms for clients, people and instruments."""

from collections.abc import Sequence
from typing import Any

from appreg.core.records.kept_records import Client, Instrument, Person
from appreg.tasks.records.add_client import add_client
from appreg.tasks.records.add_instrument import add_instrument
from appreg.tasks.records.add_person import add_person
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_fields import FormField, TypedForm, day_shown
from appreg.ui.screens.forms.record_form import RecordForm


class ClientForm(RecordForm[Client]):
    """A duty holder."""

    def __init__(self, desk: Desk, existing: Client | None = None) -> None:
        super().__init__(desk, existing)
        self.title = f"Client · {existing.name}" if existing else "New client"

    def fields(self) -> Sequence[FormField]:
        """Name and addresses, as reports print them."""
        was = self._existing
        return (
            FormField(name="name", label="Name", value=was.name if was else "", required=True),
            FormField(name="address", label="Address", value=was.address if was else ""),
            FormField(name="agent_name", label="Agent", value=was.agent_name if was else ""),
            FormField(name="agent_address", label="Agent address", value=was.agent_address if was else ""),
            FormField(name="notes", label="Notes", value=was.notes if was else ""),
        )

    def keep(self, typed: TypedForm) -> Client:
        """Add or change the client."""
        given: dict[str, Any] = {
            name: typed.text(name) for name in ("name", "address", "agent_name", "agent_address", "notes")
        }
        if self._existing:
            return self.change(self._existing, **given)
        return add_client(self.desk.register, self.desk.who, **given)


class PersonForm(RecordForm[Person]):
    """A competent person."""

    def __init__(self, desk: Desk, existing: Person | None = None) -> None:
        super().__init__(desk, existing)
        self.title = f"Person · {existing.name}" if existing else "New person"

    def fields(self) -> Sequence[FormField]:
        """Who inspects, tests and signs."""
        was = self._existing
        return (
            FormField(name="name", label="Name", value=was.name if was else self.desk.who, required=True),
            FormField(name="initials", label="Initials", value=was.initials if was else "", required=True),
            FormField(
                name="qualifications",
                label="Qualifications",
                value=was.qualifications if was else "",
            ),
            FormField(
                name="address", label="Address", value=was.address if was else "", hint="a landlord's report needs it"
            ),
            FormField(name="firm", label="Firm", value=was.firm if was else ""),
        )

    def keep(self, typed: TypedForm) -> Person:
        """Add or change the person."""
        given: dict[str, Any] = {
            name: typed.text(name) for name in ("name", "initials", "firm", "qualifications", "address")
        }
        if self._existing:
            return self.change(self._existing, **given)
        return add_person(self.desk.register, self.desk.who, **given)


class InstrumentForm(RecordForm[Instrument]):
    """A test instrument."""

    def __init__(self, desk: Desk, existing: Instrument | None = None) -> None:
        super().__init__(desk, existing)
        self.title = f"Instrument · {existing.name}" if existing else "New instrument"

    def fields(self) -> Sequence[FormField]:
        """What readings are traced to."""
        was = self._existing
        return (
            FormField(name="name", label="Name", value=was.name if was else "", required=True),
            FormField(name="serial", label="Serial", value=was.serial if was else "", required=True),
            FormField(
                name="calibration_due",
                label="Calibration due",
                value=day_shown(was.calibration_due) if was else "",
            ),
            FormField(
                name="accuracy",
                label="Accuracy",
                value=was.accuracy if was else "",
            ),
            FormField(name="notes", label="Notes", value=was.notes if was else ""),
        )

    def keep(self, typed: TypedForm) -> Instrument:
        """Add or change the instrument."""
        given: dict[str, Any] = {name: typed.text(name) for name in ("name", "serial", "accuracy", "notes")}
        due = typed.day("calibration_due", today=self.desk.today)
        if self._existing:
            return self.change(self._existing, calibration_due=due, **given)
        return add_instrument(self.desk.register, self.desk.who, calibration_due=due, **given)
