"""Plan visits: the fewest days to go, for one site, for several on one trip, or for every site by itself."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from functools import partial, reduce
from typing import Final

from msgspec import Struct, field
from msgspec.structs import replace

from appreg.core.records.appliances import ServiceState
from appreg.core.records.checks import Check
from appreg.core.records.kept_records import Appliance, Site
from appreg.core.rules.check_minutes import CheckMinutes, usual_minutes
from appreg.core.rules.interval_tables import Interval
from appreg.core.rules.item_facts import facts_of
from appreg.core.rules.required_checks import required_checks
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.periods import Period
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.progress import Progress, tell
from appreg.register.lists.appliance_lists import appliances_of
from appreg.register.opening.register_file import Register
from appreg.schedule.crew_planning import plan_crews
from appreg.schedule.crew_plans import CrewPlan
from appreg.schedule.crew_terms import CrewTerms, PlanCrew, PlanSite
from appreg.schedule.crew_visits import visits_to
from appreg.schedule.due_dates import date_after
from appreg.schedule.plan_items import PlanItem, PlanLine, percent_above
from appreg.schedule.plan_telling import VisitPlan
from appreg.schedule.plan_terms import PlanTerms
from appreg.schedule.visit_comparison import VisitCost, cost_of, cost_yearly, going_when_due
from appreg.schedule.visit_plans import plan_visits as fewest_visits
from appreg.schedule.visiting_days import Closure, visiting_days
from appreg.tasks.desk.find_rules import RuleFinder, Supposed
from appreg.tasks.desk.read_on import note_damaged_items, read_on
from appreg.tasks.planning.gather_crews import crew_terms, days_open, fixed_visits, plan_site
from appreg.tasks.standing.settle_standing import read_standing, settled


class GatheredItem(Struct, frozen=True, kw_only=True):
    """An item with what falls due on it."""

    appliance: Appliance
    """With its next dates as the rules, or those supposed, give them."""
    due: PlanItem


class PlanGatherer:
    """Gathers items of many sites, as if the register held the records supposed."""

    def __init__(self, register: Register, minutes: CheckMinutes, supposed: Iterable[Supposed] = ()) -> None:
        self._register = register
        self._minutes = minutes
        self._supposed = tuple(supposed)
        self.rules = RuleFinder(register, self._supposed)

    def of_site(self, site: Uid) -> Iterator[GatheredItem]:
        """Items in service at a site on which something falls due by the calendar, by tag."""
        note_damaged_items(self._register, site=site)
        for kept in appliances_of(self._register, site=site, states=(ServiceState.IN_SERVICE,), readable=True):
            # What is supposed is a person's own answer, and refused to their face.
            gather = partial(self._gathered, kept)
            gathered = gather() if self._supposed else read_on(self._register, kept.tag, gather)
            if gathered is not None:
                yield gathered

    def _gathered(self, kept: Appliance) -> GatheredItem | None:
        item = self._as_supposed(kept)
        visual, test = self._visual(item), self._test(item)
        if visual or test:
            return GatheredItem(appliance=item, due=PlanItem(key=item.uid, visual=visual, test=test))
        return None

    def _as_supposed(self, item: Appliance) -> Appliance:
        if not self._supposed or not item.last_date:
            return item
        return settled(item, read_standing(self._register, item.uid), self.rules.of(item))

    def _visual(self, item: Appliance) -> PlanLine | None:
        period = _chosen(self.rules.answer(item).visual, item)
        return self._line(period, item.next_visual, lambda: (Check.VISUAL,))

    def _test(self, item: Appliance) -> PlanLine | None:
        periods = [_chosen(self.rules.answer(item).test, item), self.rules.test_max(item)]
        period = min((each for each in periods if each), default=None)
        book = self.rules.site(item.site).rule_book
        return self._line(period, item.next_test, lambda: required_checks(facts_of(item), load_rule_book(book)))

    def _line(self, period: Period | None, due: date | None, checks: Callable[[], Iterable[Check]]) -> PlanLine | None:
        return None if period is None else PlanLine(due=due, period=period, minutes=self._minutes.of(checks()))


def _chosen(interval: Interval | None, item: Appliance) -> Period | None:
    return interval.chosen(bool(item.longer_interval_reason)) if interval else None


USUAL_YEARS: Final = 3
USUAL_TOLERANCE: Final = 25
MOST_YEARS: Final = 20
_NO_LIMIT: Final = 1_000_000
"""Minutes that no day's work reaches."""


class PlanWishes(Struct, frozen=True, kw_only=True):
    """What a plan has to keep to, as a person says it."""

    start: date
    years: int = USUAL_YEARS
    tolerance_percent: int = USUAL_TOLERANCE
    """How early an inspection may be made, percent of its interval."""
    days: str = ""
    """Days on which to go, as a rule of RFC 5545; empty: Monday to Friday."""
    closures: tuple[Closure, ...] = ()
    """Days on which nobody is let in, holidays among them."""
    capacity_minutes: int | None = None
    """Working time of a day, for everything that is planned together; None: no limit."""
    crews: tuple[Uid, ...] = ()
    """Keys of the crews that go out; their own hours count then, not the working time of a day."""
    minutes: CheckMinutes = field(default_factory=usual_minutes)
    effort: int | None = None
    """How long to search for a better plan by crews, in routes of single items; None: as usual."""
    sites: tuple[Uid, ...] = ()
    """Keys of the sites that are planned for, each by itself; empty: every site."""

    def terms(self) -> PlanTerms:
        """The same, worked out day by day; raises InputRefused where no plan can be made."""
        if not 1 <= self.years <= MOST_YEARS:
            raise InputRefused(f"A plan for {self.years} years cannot be made; give 1 to {MOST_YEARS}.", field="years")
        end = date_after(self.start, Period(months=12 * self.years)) - timedelta(days=1)
        days = visiting_days(self.start, end, rule=self.days, closures=self.closures)
        if not days:
            raise InputRefused(
                f"No day from {date_words(self.start)} to {date_words(end)} is left to go; change the days or the closures.",
                field="days",
            )
        return PlanTerms(
            start=self.start,
            end=end,
            allowed=days,
            tolerance_percent=self.tolerance_percent,
            capacity_minutes=self.capacity_minutes,
        )


class TripPlan(Struct, frozen=True, kw_only=True):
    """The visits to one site, or to several on one trip, held against two other ways of going."""

    sites: tuple[Site, ...]
    terms: PlanTerms
    appliances: Mapping[str, Appliance]
    """By key of the plan's items: what is planned for."""
    items: tuple[PlanItem, ...]
    plan: VisitPlan
    when_due: VisitCost
    """Going whenever something is due, for its own sake alone."""
    yearly: VisitCost
    """Inspecting everything once a year."""

    @property
    def cost(self) -> VisitCost:
        """What the plan costs."""
        return cost_of(self.plan)


class EstatePlan(Struct, frozen=True, kw_only=True):
    """The plans of all trips that were asked for."""

    trips: tuple[TripPlan, ...]
    crews: CrewPlan | None = None
    """The days out by crew, where a day has its hours; its sites are the trips by their place, from 0."""

    @property
    def keeps_all(self) -> bool:
        """Nothing goes late, and nothing that is overdue already waits for time."""
        return not any(trip.plan.late_items or trip.plan.waiting for trip in self.trips)

    @property
    def bound(self) -> int:
        """No plans of these trips in which nothing goes late have fewer visits than this."""
        return sum(trip.plan.bound for trip in self.trips)

    @property
    def gap_percent(self) -> int:
        """How far the visits lie above the bound, percent, rounded up; 0 where the plan is proven optimal."""
        return percent_above(self.cost.visits, self.bound)

    @property
    def cost(self) -> VisitCost:
        """What the plan costs."""
        return _summed(trip.cost for trip in self.trips)

    @property
    def when_due(self) -> VisitCost:
        """What going whenever something is due costs."""
        return _summed(trip.when_due for trip in self.trips)

    @property
    def yearly(self) -> VisitCost:
        """What inspecting everything once a year costs."""
        return _summed(trip.yearly for trip in self.trips)


class GatheredTrip(Struct, frozen=True, kw_only=True):
    """One trip with what is to be planned for it."""

    sites: tuple[Site, ...]
    terms: PlanTerms
    appliances: Mapping[str, Appliance]
    items: tuple[PlanItem, ...]


def plan_visits(
    register: Register,
    *,
    trips: Sequence[Sequence[Uid]],
    wishes: PlanWishes,
    supposed: Iterable[Supposed] = (),
    progress: Progress | None = None,
) -> EstatePlan:
    """Plan each trip, which visits all its sites on the same days; nothing is saved.

    With crews, or a working time of a day, all trips are planned together: a day out is one crew's, to one trip,
    or to several in one district. A person who stops that search gets the best plan until then. Booked visits stay.
    `supposed` are records taken to be in the register. Raises InputRefused for wishes that cannot be kept,
    NotFound for an unknown site, Stopped when `progress` answers False.
    """
    gatherer = PlanGatherer(register, wishes.minutes, supposed)
    together = bool(wishes.crews) or wishes.capacity_minutes is not None
    gathered = []
    planned = []
    for done, trip in enumerate(trips):
        _tell(progress, done, len(trips))
        gathered.append(_gathered(gatherer, trip, wishes))
        if not together:
            planned.append(_planned(gathered[-1], _roomy(register, gathered[-1])))
    _tell(progress, len(trips), len(trips))
    return _planned_together(register, gathered, wishes, progress) if together else EstatePlan(trips=tuple(planned))


def gather_trips(
    register: Register, *, trips: Sequence[Sequence[Uid]], wishes: PlanWishes, progress: Progress | None = None
) -> tuple[GatheredTrip, ...]:
    """What is to be planned for on each trip, without planning it; raises as plan_visits does."""
    gatherer = PlanGatherer(register, wishes.minutes)
    gathered = []
    for done, trip in enumerate(trips):
        _tell(progress, done, len(trips))
        gathered.append(_gathered(gatherer, trip, wishes))
    return tuple(gathered)


def trips_wished(register: Register, wishes: PlanWishes) -> tuple[tuple[Uid, ...], ...]:
    """One trip for each site that is planned for; one removed since is left out."""
    every = every_site_by_itself(register)
    return tuple(trip for trip in every if trip[0] in wishes.sites) if wishes.sites else every


def every_site_by_itself(register: Register) -> tuple[tuple[Uid], ...]:
    """One trip for each site, by name."""
    return tuple((site.uid,) for site in sorted(register.find_readable(Site), key=lambda each: each.name.casefold()))


def _gathered(gatherer: PlanGatherer, trip: Sequence[Uid], wishes: PlanWishes) -> GatheredTrip:
    sites = tuple(gatherer.rules.site(uid) for uid in dict.fromkeys(trip))
    gathered = [item for site in sites for item in gatherer.of_site(site.uid)]
    return GatheredTrip(
        sites=sites,
        terms=_trip_terms(sites, wishes),
        appliances={each.due.key: each.appliance for each in gathered},
        items=tuple(each.due for each in gathered),
    )


def _trip_terms(sites: Sequence[Site], wishes: PlanWishes) -> PlanTerms:
    """The terms with the days on which all sites of a trip let people in."""
    terms = wishes.terms()
    for site in sites:
        if site.access_days or site.closures:
            opened = set(days_open(site, terms, wishes.days, wishes.closures))
            alone = len(sites) == 1 and not wishes.days
            days = sorted(opened) if alone else [day for day in terms.allowed if day in opened]
            if not days:
                raise InputRefused(
                    f"{site.name} lets nobody in on any day of the plan; change its access days or closures, or the days to go."
                )
            terms = replace(terms, allowed=tuple(days))
    return terms


def _roomy(register: Register, trip: GatheredTrip) -> VisitPlan:
    """The visits of one trip where a day is as long as one likes; those that are booked stay."""
    booked = tuple(fixed_visits(register, set(), trip.terms, {"": trip.sites}))
    if not booked:
        return fewest_visits(trip.items, trip.terms)
    alone = PlanSite(key="", items=trip.items, allowed=trip.terms.allowed)
    crew = PlanCrew(key="", people=1, minutes=dict.fromkeys({*trip.terms.allowed, *(b.day for b in booked)}, _NO_LIMIT))
    terms = CrewTerms(
        start=trip.terms.start,
        end=trip.terms.end,
        crews=(crew,),
        tolerance_percent=trip.terms.tolerance_percent,
        booked=booked,
    )
    return visits_to(plan_crews((alone,), terms), "")


def _planned_together(
    register: Register, gathered: Sequence[GatheredTrip], wishes: PlanWishes, progress: Progress | None
) -> EstatePlan:
    keyed = {str(at): trip for at, trip in enumerate(gathered)}
    terms = crew_terms(register, wishes.crews, wishes.terms(), {key: trip.sites for key, trip in keyed.items()})
    places = [plan_site(key, trip.sites, trip.items, trip.terms) for key, trip in keyed.items()]
    plan = plan_crews(places, terms, effort=wishes.effort, go_on=progress)
    return EstatePlan(
        trips=tuple(_planned(trip, visits_to(plan, key, crews=len(terms.crews))) for key, trip in keyed.items()),
        crews=plan,
    )


def _planned(trip: GatheredTrip, plan: VisitPlan) -> TripPlan:
    return TripPlan(
        sites=trip.sites,
        terms=trip.terms,
        appliances=trip.appliances,
        items=trip.items,
        plan=plan,
        when_due=going_when_due(trip.items, trip.terms).cost,
        yearly=cost_yearly(trip.items, trip.terms),
    )


def _tell(progress: Progress | None, done: int, total: int) -> None:
    tell(progress, done, total, f"Planning stopped after {done} of {total}; there is no plan, start again when ready.")


def _summed(costs: Iterable[VisitCost]) -> VisitCost:
    return reduce(_added, costs, VisitCost(visits=0, minutes=0, inspections=0, early=0, late_items=0))


def _added(one: VisitCost, other: VisitCost) -> VisitCost:
    return VisitCost(
        visits=one.visits + other.visits,
        minutes=one.minutes + other.minutes,
        inspections=one.inspections + other.inspections,
        early=one.early + other.early,
        late_items=one.late_items + other.late_items,
    )
