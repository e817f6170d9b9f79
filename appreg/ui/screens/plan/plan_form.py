"""The forms of the Plan screen: what a plan keeps to, and what is supposed otherwise."""

from collections.abc import Sequence
from datetime import date
from typing import Final

from msgspec.structs import replace

from appreg.core.records.kept_records import Location, Site
from appreg.core.records.work_records import IntervalKind
from appreg.core.rules.check_minutes import CheckMinutes
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.periods import parse_period
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused, asked_for
from appreg.exchange.holiday_file import read_holidays
from appreg.exchange.minutes_file import read_minutes
from appreg.schedule.interval_choice import interval_table
from appreg.schedule.typed_closures import closures_as_typed, closures_typed
from appreg.schedule.typed_days import rule_in_words, rule_typed
from appreg.schedule.visiting_days import Closure
from appreg.tasks.desk.named_file import named_file
from appreg.tasks.planning.plan_visits import PlanWishes
from appreg.tasks.planning.what_stays import Supposition
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_fields import Choice, FormField, TypedForm, day_shown, number_shown

_AS_IT_IS: Final = Choice("", "as it is")
_EVERY_ONE: Final = Choice("", "every one of them")


class PlanForm(Form[PlanWishes]):
    """Asks what a plan keeps to."""

    title = "Plan the visits"

    def __init__(self, desk: Desk, now: PlanWishes) -> None:
        super().__init__(desk)
        self._now = now

    def fields(self) -> Sequence[FormField]:
        """When, how far, which days, how early, how long a day."""
        now = self._now
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
            FormField(name="closed", label="Closed", value=closures_as_typed(now.closures)),
            FormField(name="holidays", label="Holidays file", hint="joins what is closed"),
            FormField(name="minutes", label="Minutes file", hint="empty: as they are"),
        )

    def keep(self, typed: TypedForm) -> PlanWishes:
        """What was typed, made sure of; sites and crews are asked for elsewhere."""
        wishes = replace(
            self._now,
            start=typed.day("start", today=self.desk.today) or self.desk.today,
            years=typed.whole("years") or 0,
            tolerance_percent=_percent(typed),
            days=rule_typed(typed.text("days")),
            closures=_closures(typed, self.desk.today, self._now.closures),
            capacity_minutes=typed.whole("capacity", "min"),
            minutes=_minutes(typed.text("minutes"), self._now.minutes),
        )
        wishes.terms()
        return wishes


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
    """Asks what is supposed of sites, or of one location of a site."""

    def __init__(self, desk: Desk, sites: Sequence[Site]) -> None:
        super().__init__(desk)
        self._sites = tuple(sites)
        self.title = f"What if · {', '.join(site.name for site in sites)}"

    def fields(self) -> Sequence[FormField]:
        """Another environment, table, tolerance or interval, and where."""
        site = self._sites[0]
        book = load_rule_book(site.rule_book)
        table = interval_table(book, site.interval_table)
        environments = (_AS_IT_IS, *(Choice(key, words) for key, words in table.environments.items()))
        tables = (_AS_IT_IS, *(Choice(each.id, each.title) for each in book.interval_tables.values()))
        places = (_EVERY_ONE, *(self._place(each) for one in self._sites for each in self._locations(one)))
        return (
            FormField(name="environment", label="Environment", choices=environments),
            FormField(name="table", label="Interval table", choices=tables),
            FormField(name="tolerance", label="How early, %", hint="empty: as it is"),
            FormField(name="visual", label="Look every", hint="empty: as it is"),
            FormField(name="test", label="Test every", hint="empty: as it is"),
            FormField(name="location", label="Location", choices=places),
        )

    def _locations(self, site: Site) -> Sequence[Location]:
        found = self.desk.register.find(Location, site=site.uid)
        return sorted(found, key=lambda each: each.name.casefold())

    def _place(self, location: Location) -> Choice:
        names = {site.uid: site.name for site in self._sites}
        at = f"{names[location.site]}: " if len(names) > 1 else ""
        return Choice(location.uid, f"{at}{location.name}")

    def keep(self, typed: TypedForm) -> Supposition:
        """What was typed; at least one thing must be supposed."""
        intervals = {kind: typed.text(kind.value).upper() for kind in IntervalKind}
        for kind, period in intervals.items():
            if period:
                with asked_for(kind.value):
                    parse_period(period)
        place = typed.values["location"]
        supposition = Supposition(
            environment=typed.values["environment"] or None,
            interval_table=typed.values["table"] or None,
            tolerance_percent=_percent(typed) if typed.text("tolerance") else None,
            intervals={kind: period for kind, period in intervals.items() if period},
            locations=(Uid(place),) if place else (),
        )
        if replace(supposition, locations=()) == Supposition():
            raise InputRefused("Environment: nothing is supposed; change at least one field.", field="environment")
        if place and supposition.interval_table:
            raise typed.refused("table", "a table holds for a whole site; leave it, or choose all locations.")
        return supposition


def _percent(typed: TypedForm) -> int:
    percent = typed.whole("tolerance", "%")
    return 0 if percent is None else percent


def _closures(typed: TypedForm, today: date, now: Sequence[Closure]) -> tuple[Closure, ...]:
    """As they stood where nothing else was typed, for a name may hold what is not typed here."""
    text, named = typed.text("closed"), typed.text("holidays")
    with asked_for("closed"):
        closed = tuple(now)
        if text != closures_as_typed(now):
            closed = closures_typed(text, field="Closed", today=today)
    with asked_for("holidays"):
        read = read_holidays(named_file(named, field="Holidays")) if named else ()
    return (*closed, *(each for each in read if each not in closed))


def _minutes(named: str, now: CheckMinutes) -> CheckMinutes:
    with asked_for("minutes"):
        return read_minutes(named_file(named, field="Minutes")) if named else now
