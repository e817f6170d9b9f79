"""The forms for what visits are planned by: when a site can be visited, crews, and the ways between districts."""

from collections.abc import Sequence
from typing import Any

from appreg.core.records.kept_records import Site
from appreg.core.records.planning_records import Crew, DistrictTravel
from appreg.errors import asked_for
from appreg.schedule.kept_days import closures_in, line_of
from appreg.schedule.typed_closures import closures_as_typed, closures_typed
from appreg.schedule.typed_days import rule_in_words, rule_typed
from appreg.tasks.records.add_crew import add_crew, add_way
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_fields import FormField, TypedForm, day_shown, number_shown
from appreg.ui.screens.forms.record_form import RecordForm

_USUAL_MINUTES = 420


def _rule_shown(rule: str) -> str:
    return rule_in_words(rule) if rule else ""


def _spans_shown(lines: Sequence[str], field: str) -> str:
    return closures_as_typed(closures_in(lines, field=field))


def _spans_typed(form: Form[Any], typed: TypedForm, name: str, kept: Sequence[str]) -> tuple[str, ...]:
    """The lines that are kept; as they stood where nothing was typed, for a name may hold what is not typed here."""
    text = typed.text(name)
    if kept and text == _spans_shown(kept, name):
        return tuple(kept)
    with asked_for(name):
        return tuple(line_of(each) for each in closures_typed(text, field=typed.labels[name], today=form.desk.today))


class SiteDaysForm(RecordForm[Site]):
    """When a site can be visited, and what a visit takes before the first item."""

    def __init__(self, desk: Desk, existing: Site) -> None:
        super().__init__(desk, existing)
        self._was = existing
        self.title = f"Days of visits · {existing.name}"

    def fields(self) -> Sequence[FormField]:
        """Days, closures, what suits best, minutes and district."""
        was = self._existing or self._was
        return (
            FormField(
                name="access_days", label="Days let in", value=_rule_shown(was.access_days), hint="empty: Mon-Fri"
            ),
            FormField(name="access_from", label="Counted from", value=day_shown(was.access_from)),
            FormField(name="closures", label="Closed", value=_spans_shown(was.closures, "Closed")),
            FormField(name="preferred", label="Suits best", value=_spans_shown(was.preferred, "Suits best")),
            FormField(name="district", label="District", value=was.district),
            FormField(
                name="travel_minutes", label="Minutes there", value=number_shown(was.travel_minutes), hint="empty: 0"
            ),
            FormField(
                name="set_up_minutes", label="Minutes set-up", value=number_shown(was.set_up_minutes), hint="empty: 0"
            ),
        )

    def keep(self, typed: TypedForm) -> Site:
        """Change the site."""
        existing = self._existing or self._was
        return self.change(
            existing,
            access_days=rule_typed(typed.text("access_days")),
            access_from=typed.day("access_from", today=self.desk.today),
            closures=_spans_typed(self, typed, "closures", existing.closures),
            preferred=_spans_typed(self, typed, "preferred", existing.preferred),
            district=typed.text("district"),
            travel_minutes=typed.whole("travel_minutes", "min") or 0,
            set_up_minutes=typed.whole("set_up_minutes", "min") or 0,
        )


class CrewForm(RecordForm[Crew]):
    """People who go out together."""

    def __init__(self, desk: Desk, existing: Crew | None = None) -> None:
        super().__init__(desk, existing)
        self.title = f"Crew · {existing.name}" if existing else "New crew"

    def fields(self) -> Sequence[FormField]:
        """How many, how long, on which days."""
        was = self._existing
        return (
            FormField(name="name", label="Name", value=was.name if was else "", required=True),
            FormField(name="people", label="People", value=str(was.people if was else 1), required=True),
            FormField(
                name="minutes_a_day",
                label="Minutes a day",
                value=str(was.minutes_a_day if was else _USUAL_MINUTES),
                required=True,
            ),
            FormField(
                name="days", label="Days of work", value=_rule_shown(was.days) if was else "", hint="empty: Mon-Fri"
            ),
            FormField(name="days_from", label="Counted from", value=day_shown(was.days_from) if was else ""),
            FormField(name="absent", label="Away", value=_spans_shown(was.absent, "Away") if was else ""),
            FormField(name="base", label="Base", value=was.base if was else ""),
            FormField(name="notes", label="Notes", value=was.notes if was else ""),
        )

    def keep(self, typed: TypedForm) -> Crew:
        """Add or change the crew."""
        was = self._existing
        given: dict[str, Any] = {name: typed.text(name) for name in ("name", "base", "notes")}
        given["people"] = typed.whole("people") or 0
        given["minutes_a_day"] = typed.whole("minutes_a_day", "min") or 0
        given["days"] = rule_typed(typed.text("days"))
        given["days_from"] = typed.day("days_from", today=self.desk.today)
        given["absent"] = _spans_typed(self, typed, "absent", was.absent if was else ())
        if was:
            return self.change(was, **given)
        return add_crew(self.desk.register, self.desk.who, **given)


class WayForm(RecordForm[DistrictTravel]):
    """How long it takes between two districts."""

    def __init__(self, desk: Desk, existing: DistrictTravel | None = None) -> None:
        super().__init__(desk, existing)
        self.title = f"Way · {existing.district} and {existing.other}" if existing else "New way between districts"

    def fields(self) -> Sequence[FormField]:
        """Two districts and the minutes."""
        was = self._existing
        return (
            FormField(name="district", label="District", value=was.district if was else "", required=True),
            FormField(name="other", label="Other district", value=was.other if was else "", required=True),
            FormField(name="minutes", label="Minutes", value=number_shown(was.minutes) if was else "", required=True),
        )

    def keep(self, typed: TypedForm) -> DistrictTravel:
        """Add or change the way."""
        district, other = typed.text("district"), typed.text("other")
        minutes = typed.whole("minutes", "min")
        if minutes is None:
            raise typed.refused("minutes", "nothing is given; write how long the way takes.")
        if self._existing:
            return self.change(self._existing, district=district, other=other, minutes=minutes)
        return add_way(self.desk.register, self.desk.who, district=district, other=other, minutes=minutes)
