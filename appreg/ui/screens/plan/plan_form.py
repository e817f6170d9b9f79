"""The forms of the Plan screen: what a plan keeps to, and what is supposed otherwise."""

from collections.abc import Sequence
from datetime import date
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from appreg.core.records.kept_records import Site
from appreg.core.records.work_records import IntervalKind
from appreg.core.rules.check_minutes import CheckMinutes, usual_minutes
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.periods import parse_period
from appreg.errors import InputRefused, asked_for
from appreg.exchange.holiday_file import read_holidays
from appreg.exchange.minutes_file import read_minutes
from appreg.schedule.interval_choice import interval_table
from appreg.schedule.typed_closures import closures_typed
from appreg.schedule.typed_days import rule_in_words, rule_typed
from appreg.schedule.visiting_days import Closure
from appreg.tasks.desk.named_file import named_file
from appreg.tasks.planning.plan_visits import PlanWishes
from appreg.tasks.planning.what_if import Supposition
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_fields import Choice, FormField, TypedForm, day_shown, number_shown

_AS_IT_IS: Final = Choice("", "as it is")


class PlanSettings(Struct, frozen=True, kw_only=True):
    """What a plan keeps to, with what was typed for it."""

    wishes: PlanWishes
    closed: str = ""
    holidays_file: str = ""
    minutes_file: str = ""

    @property
    def days_in_words(self) -> str:
        """The days to go, short."""
        return rule_in_words(self.wishes.days)


class PlanForm(Form[PlanSettings]):
    """Asks what a plan keeps to."""

    title = "Plan the visits"

    def __init__(self, desk: Desk, now: PlanSettings) -> None:
        super().__init__(desk)
        self._now = now

    def fields(self) -> Sequence[FormField]:
        """When, how far, which days, how early, how long a day."""
        now = self._now.wishes
        return (
            FormField(name="start", label="From", value=day_shown(now.start), required=True),
            FormField(name="years", label="Years", value=str(now.years), required=True),
            FormField(
                name="days",
                label="Days to go",
                value=rule_in_words(now.days) if now.days else "",
                hint="empty: Mon-Fri",
            ),
            FormField(name="tolerance", label="How early, %", value=str(now.tolerance_percent), required=True),
            FormField(
                name="capacity", label="Minutes a day", value=number_shown(now.capacity_minutes), hint="empty: no limit"
            ),
            FormField(name="closed", label="Closed", value=self._now.closed),
            FormField(name="holidays", label="Holidays file", value=self._now.holidays_file),
            FormField(
                name="minutes",
                label="Minutes file",
                value=self._now.minutes_file,
            ),
        )

    def keep(self, typed: TypedForm) -> PlanSettings:
        """What was typed, made sure of."""
        settings = PlanSettings(
            wishes=PlanWishes(
                start=typed.day("start", today=self.desk.today) or self.desk.today,
                years=typed.whole("years") or 0,
                tolerance_percent=_percent(typed),
                days=rule_typed(typed.text("days")),
                closures=_closures(typed, self.desk.today),
                capacity_minutes=typed.whole("capacity", "min"),
                minutes=_minutes(typed.text("minutes")),
            ),
            closed=typed.text("closed"),
            holidays_file=typed.text("holidays"),
            minutes_file=typed.text("minutes"),
        )
        settings.wishes.terms()
        return settings


class MinutesForm(Form[int | None]):
    """Asks how many minutes of work a day holds."""

    title = "Minutes a day"

    def __init__(self, desk: Desk, now: int | None) -> None:
        super().__init__(desk)
        self._now = now

    def fields(self) -> Sequence[FormField]:
        """The minutes."""
        value = number_shown(self._now)
        return (FormField(name="capacity", label="Minutes a day", value=value, required=True),)

    def keep(self, typed: TypedForm) -> int:
        """The minutes; the plan refuses what no day holds."""
        minutes = typed.whole("capacity", "min")
        if minutes is None:
            raise typed.refused("capacity", "nothing is given; write how many minutes of work a day holds.")
        with asked_for("capacity"):
            replace(PlanWishes(start=self.desk.today), capacity_minutes=minutes).terms()
        return minutes


class WhatIfForm(Form[Supposition]):
    """Asks what is supposed of a site."""

    def __init__(self, desk: Desk, sites: Sequence[Site]) -> None:
        super().__init__(desk)
        self._site = sites[0]
        self.title = f"What if · {', '.join(site.name for site in sites)}"

    def fields(self) -> Sequence[FormField]:
        """Another environment, table, tolerance or interval."""
        book = load_rule_book(self._site.rule_book)
        table = interval_table(book, self._site.interval_table)
        environments = (_AS_IT_IS, *(Choice(key, words) for key, words in table.environments.items()))
        tables = (_AS_IT_IS, *(Choice(each.id, each.title) for each in book.interval_tables.values()))
        return (
            FormField(name="environment", label="Environment", choices=environments),
            FormField(name="table", label="Interval table", choices=tables),
            FormField(name="tolerance", label="How early, %", hint="empty: as it is"),
            FormField(name="visual", label="Look every", hint="empty: as it is"),
            FormField(name="test", label="Test every", hint="empty: as it is"),
        )

    def keep(self, typed: TypedForm) -> Supposition:
        """What was typed; at least one thing must be supposed."""
        intervals = {kind: typed.text(kind.value).upper() for kind in IntervalKind}
        for kind, period in intervals.items():
            if period:
                with asked_for(kind.value):
                    parse_period(period)
        supposition = Supposition(
            environment=typed.values["environment"] or None,
            interval_table=typed.values["table"] or None,
            tolerance_percent=_percent(typed) if typed.text("tolerance") else None,
            intervals={kind: period for kind, period in intervals.items() if period},
        )
        if supposition == Supposition():
            raise InputRefused("Environment: nothing is supposed; change at least one field.", field="environment")
        return supposition


def _percent(typed: TypedForm) -> int:
    percent = typed.whole("tolerance", "%")
    return 0 if percent is None else percent


def _closures(typed: TypedForm, today: date) -> tuple[Closure, ...]:
    with asked_for("closed"):
        closed = closures_typed(typed.text("closed"), field="Closed", today=today)
    named = typed.text("holidays")
    with asked_for("holidays"):
        return (*closed, *(read_holidays(named_file(named, field="Holidays")) if named else ()))


def _minutes(named: str) -> CheckMinutes:
    with asked_for("minutes"):
        return read_minutes(named_file(named, field="Minutes")) if named else usual_minutes()
