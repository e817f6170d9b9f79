"""The forms for a job of several visits, and for the firm that does the work."""

from collections.abc import Sequence
from typing import Any, Final

from appreg.core.records.job_records import Firm, Job
from appreg.core.records.kept_records import Site, Visit
from appreg.errors import asked_for
from appreg.tasks.inspecting.keep_job import add_job, day_or_key, set_visits, visits_shown, visits_typed
from appreg.tasks.records.keep_firm import keep_firm
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_fields import FormField, TypedForm, day_shown
from appreg.ui.screens.forms.record_form import RecordForm

_TEXTS: Final = {
    "extent": "Extent",
    "limitations": "Limitations",
    "wiring_report": "Fixed wiring report",
    "wiring_rcd": "Its word on RCDs",
    "signatory": "Signs for the client",
    "notes": "Notes",
}
_FIRM: Final = {"name": "Name", "address": "Address", "phone": "Telephone", "email": "Mail"}


class JobForm(RecordForm[Job]):
    """What was ordered at one site, and the visits that it took."""

    def __init__(self, desk: Desk, site: Site, existing: Job | None = None, *, of_visit: Visit | None = None) -> None:
        super().__init__(desk, existing)
        self._site = site
        self._of_visit = of_visit
        self.title = f"Job {existing.name} · {site.name}" if existing else f"New job · {site.name}"

    def fields(self) -> Sequence[FormField]:
        """Name and visits, extent and limitations, the report on the fixed wiring, and who signs."""
        was = self._existing
        texts = {
            name: FormField(name=name, label=label, value=getattr(was, name) if was else "")
            for name, label in _TEXTS.items()
        }
        return (
            FormField(name="name", label="Job", value=was.name if was else "", required=True),
            FormField(name="visits", label="Visits", value=self._visits_now()),
            texts["extent"],
            texts["limitations"],
            texts["wiring_report"],
            FormField(name="wiring_on", label="Its day", value=day_shown(was.wiring_on) if was else ""),
            FormField(name="wiring_next", label="Wiring next due", value=day_shown(was.wiring_next) if was else ""),
            texts["wiring_rcd"],
            texts["signatory"],
            texts["notes"],
        )

    def _visits_now(self) -> str:
        register = self.desk.register
        if self._existing is None:
            return day_or_key(register, self._of_visit) if self._of_visit is not None else ""
        return visits_shown(register, self._existing)

    def keep(self, typed: TypedForm) -> Job:
        """Add or change the job, its visits with it."""
        today, register, who = self.desk.today, self.desk.register, self.desk.who
        given: dict[str, Any] = {name: typed.text(name) for name in ("name", *_TEXTS)}
        given |= {
            "wiring_on": typed.day("wiring_on", today=today),
            "wiring_next": typed.day("wiring_next", today=today),
        }
        job = self._existing.uid if self._existing else None
        with asked_for("visits"):
            visits = visits_typed(register, self._site.uid, typed.text("visits"), job=job, today=today)
        if self._existing is None:
            return add_job(register, who, site=self._site.uid, visits=visits, **given)
        with register.change(who, "job"):
            kept = self.change(self._existing, **given)
            with asked_for("visits"):
                set_visits(register, who, job=kept.uid, visits=visits)
        return kept


class FirmForm(RecordForm[Firm]):
    """The firm that keeps this register."""

    def __init__(self, desk: Desk, existing: Firm | None = None) -> None:
        super().__init__(desk, existing)
        self.title = "Our firm"

    def fields(self) -> Sequence[FormField]:
        """Name and how to reach it, as documents print them."""
        was = self._existing
        return tuple(
            FormField(name=name, label=label, value=getattr(was, name) if was else "", required=name == "name")
            for name, label in _FIRM.items()
        )

    def keep(self, typed: TypedForm) -> Firm:
        """Keep the firm."""
        given: dict[str, Any] = {name: typed.text(name) for name in _FIRM}
        if self._existing:
            return self.change(self._existing, **given)
        return keep_firm(self.desk.register, self.desk.who, **given)
