"""A plan as it stands today: its visits as somebody left them, what is done on each now, and what that costs."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from functools import cached_property
from typing import Final

from msgspec import Struct, field
from msgspec.structs import replace

from appreg.core.records.kept_records import Appliance, Site
from appreg.core.records.planning_records import BookedVisit, Crew, DistrictTravel, KeptPlan, KeptVisit
from appreg.core.values.asset_tags import tag_order
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.progress import Progress
from appreg.register.opening.register_file import Register
from appreg.schedule.crew_plans import DayOut, SiteVisit
from appreg.schedule.days_out import (
    DistrictWays,
    GoingCost,
    VisitedPlace,
    cost_of_days,
    cost_of_dues,
    day_out,
)
from appreg.schedule.given_visits import FollowedVisits, GivenVisit, follow_visits
from appreg.schedule.plan_items import LeftOverdue, PlannedInspection, PlannedVisit
from appreg.schedule.plan_telling import VisitPlan
from appreg.schedule.visit_comparison import GoingWhenDue, VisitCost, cost_yearly, going_when_due
from appreg.tasks.planning.book_visit import booked_visits
from appreg.tasks.planning.keep_plan import LoadedPlan, PlannedDay, days_of, work_key, work_of
from appreg.tasks.planning.plan_visits import EstatePlan, GatheredTrip, PlanWishes, TripPlan, gather_trips, trips_wished

FULL_DAY: Final = 480
"""Minutes of eight hours: what one person does in a day at most, where no other time is given."""


class PlanGround(Struct, frozen=True, kw_only=True, dict=True):
    """What a plan stands on, worked out once: the items of each site, its crews, the ways."""

    today: date
    wishes: PlanWishes
    trips: Mapping[Uid, GatheredTrip]
    """By key of the site, by name; days before today are left out."""
    crews: Mapping[Uid, Crew]
    ways: DistrictWays
    when_due: Mapping[Uid, GoingWhenDue]
    """By site: going whenever something is due."""
    yearly: Mapping[Uid, VisitCost]
    """By site: what inspecting everything once a year costs on site."""

    @property
    def full_day(self) -> int:
        """Minutes of one person's day where a crew does not say."""
        return self.wishes.capacity_minutes or FULL_DAY

    @property
    def has_hours(self) -> bool:
        """A day has its working time, or crews have theirs."""
        return bool(self.wishes.crews) or self.wishes.capacity_minutes is not None

    @cached_property
    def going_when_due(self) -> GoingCost:
        """Days out, visits and time of going whenever something is due, with the largest of the crews."""
        crew = max(self.crews.values(), key=lambda each: each.people, default=None)
        return cost_of_dues(
            ((_place(self.trips[uid].sites[0]), going.days) for uid, going in self.when_due.items()),
            people=crew.people if crew else 1,
            full_day=crew.minutes_a_day if crew else self.full_day,
            ways=self.ways,
        )


class LiveVisit(Struct, frozen=True, kw_only=True):
    """One visit of a plan to one site."""

    key: str
    """Names it while it stands; the key of the kept visit where the plan is kept."""
    site: Site
    day: date
    crew: Crew | None
    inspections: tuple[PlannedInspection, ...]
    booked: BookedVisit | None = None
    is_kept: bool = True
    """It is a visit of the plan; False: it is booked, and the plan has none on that day."""

    @property
    def minutes(self) -> int:
        """Time of the inspections, minutes of one person."""
        return sum(each.minutes for each in self.inspections)


class ToldInspection(Struct, frozen=True, kw_only=True):
    """An inspection that is late, or before its tolerance, with its item."""

    appliance: Appliance
    planned: PlannedInspection | LeftOverdue
    day: date | None
    """None: no visit of the plan meets it."""


class LivePlan(Struct, frozen=True, kw_only=True, dict=True):
    """A plan that can be acted upon."""

    ground: PlanGround
    kept: KeptPlan | None
    """None: nobody has done anything to it yet, and it is kept nowhere."""
    visits: tuple[LiveVisit, ...]
    """By day, then site."""
    days_out: tuple[DayOut, ...]
    """By day, then crew."""
    left: Mapping[Uid, tuple[LeftOverdue, ...]]
    """By site: what no visit meets before the plan ends."""
    past: int = 0
    """Visits before today; what was done on them the register tells."""
    followed: Mapping[Uid, tuple[tuple[GivenVisit, ...], FollowedVisits]] = field(default_factory=dict)
    """By site: the visits it was followed through, to be taken over where they are the same."""

    @cached_property
    def cost(self) -> GoingCost:
        """Days out, visits and time of the plan."""
        return cost_of_days(self.days_out, full_day=self.ground.full_day if not self.ground.wishes.crews else 10**9)

    @property
    def when_due(self) -> GoingCost:
        """The same of going whenever something is due."""
        return self.ground.going_when_due

    @cached_property
    def late(self) -> tuple[ToldInspection, ...]:
        """What goes late although a day would have been nearer to its due date, the latest first; what is left, last."""
        late = [row for row in self._told() if isinstance(row.planned, PlannedInspection) and row.planned.late_days]
        late.sort(key=lambda row: (-_late_days(row), tag_order(row.appliance.tag)))
        left = [
            ToldInspection(appliance=self.ground.trips[uid].appliances[each.key], planned=each, day=None)
            for uid, lines in self.left.items()
            for each in lines
        ]
        return (*late, *left)

    @cached_property
    def hasty(self) -> tuple[ToldInspection, ...]:
        """What is inspected before its tolerance, so that it does not go late, the earliest first."""
        rows = [row for row in self._told() if isinstance(row.planned, PlannedInspection) and row.planned.hasty_days]
        return tuple(sorted(rows, key=lambda row: (-_hasty_days(row), tag_order(row.appliance.tag))))

    @property
    def trips(self) -> tuple[TripPlan, ...]:
        """The plan site by site, as calendars are written from it."""
        return tuple(self._trip(uid, trip) for uid, trip in self.ground.trips.items())

    def visit(self, key: str) -> LiveVisit | None:
        """The visit with this key."""
        return next((each for each in self.visits if each.key == key), None)

    def key_at(self, site: Uid, day: date, crew: Uid | None) -> str:
        """The key of the visit that stands there; empty where none does."""
        for each in self.visits:
            if (each.site.uid, each.day, each.crew.uid if each.crew else None) == (site, day, crew):
                return each.key
        return ""

    def _told(self) -> Iterator[ToldInspection]:
        for visit in self.visits:
            for each in visit.inspections:
                item = self.ground.trips[visit.site.uid].appliances[each.key]
                yield ToldInspection(appliance=item, planned=each, day=visit.day)

    def _trip(self, uid: Uid, trip: GatheredTrip) -> TripPlan:
        work: dict[date, list[PlannedInspection]] = {}
        for visit in self.visits:
            if visit.site.uid == uid:
                work.setdefault(visit.day, []).extend(visit.inspections)
        done = [PlannedVisit(day=day, inspections=tuple(made)) for day, made in sorted(work.items()) if made]
        return TripPlan(
            sites=trip.sites,
            terms=trip.terms,
            appliances=trip.appliances,
            items=trip.items,
            plan=VisitPlan(visits=tuple(done), bound=0, left=self.left.get(uid, ()), over_capacity=()),
            when_due=self.ground.when_due[uid].cost,
            yearly=self.ground.yearly[uid],
        )


def gather_ground(
    register: Register, wishes: PlanWishes, *, today: date, progress: Progress | None = None
) -> PlanGround:
    """What a plan made to these wishes stands on today; raises as plan_visits does, and for one that has ended."""
    trips = gather_trips(register, trips=trips_wished(register, wishes), wishes=wishes, progress=progress)
    return _ground(register, wishes, trips, today)


def live_estate(register: Register, estate: EstatePlan, wishes: PlanWishes, *, today: date) -> LivePlan:
    """A plan that was just made, each of whose trips is to one site."""
    trips = [
        GatheredTrip(sites=trip.sites, terms=trip.terms, appliances=trip.appliances, items=trip.items)
        for trip in estate.trips
    ]
    return live_plan(register, _ground(register, wishes, trips, today), days=days_of(estate))


def _ground(register: Register, wishes: PlanWishes, trips: Iterable[GatheredTrip], today: date) -> PlanGround:
    ahead = {trip.sites[0].uid: _from_today(trip, today) for trip in trips}
    return PlanGround(
        today=today,
        wishes=wishes,
        trips=ahead,
        crews={uid: register.get(Crew, uid) for uid in wishes.crews},
        ways={(each.district, each.other): each.minutes for each in register.find(DistrictTravel)},
        when_due={uid: going_when_due(trip.items, trip.terms) for uid, trip in ahead.items()},
        yearly={uid: cost_yearly(trip.items, trip.terms) for uid, trip in ahead.items()},
    )


def live_plan(
    register: Register,
    ground: PlanGround,
    *,
    kept: LoadedPlan | None = None,
    days: Sequence[PlannedDay] = (),
    before: LivePlan | None = None,
) -> LivePlan:
    """The plan as its visits stand: those of a kept one, or the days of one that was just made.

    `before` is the same plan before an act: sites whose visits are the same are not followed anew.
    """
    rows = kept.visits if kept else _unkept(days)
    ahead = [row for row in rows if row.site in ground.trips and row.day >= ground.today]
    bookings = booked_visits(register, sites=tuple(ground.trips), start=ground.today)
    given = {uid: _given(uid, ahead, bookings) for uid in ground.trips}
    reuse = before.followed if before is not None and before.ground is ground else {}
    followed = {
        uid: reuse[uid] if uid in reuse and reuse[uid][0] == visits else (visits, _follow(ground.trips[uid], visits))
        for uid, visits in given.items()
    }
    visits = tuple(
        sorted(
            _visits(register, ground, ahead, bookings, followed),
            key=lambda each: (each.day, each.site.name.casefold(), each.key),
        )
    )
    return LivePlan(
        ground=ground,
        kept=kept.plan if kept else None,
        visits=visits,
        days_out=_days_out(ground, visits),
        left={uid: through[1].left for uid, through in followed.items() if through[1].left},
        past=sum(row.site in ground.trips and row.day < ground.today for row in rows),
        followed=followed,
    )


def planned_days(plan: LivePlan) -> tuple[PlannedDay, ...]:
    """The visits of a plan with their work, as they are kept."""
    return tuple(
        PlannedDay(
            site=visit.site.uid,
            day=visit.day,
            crew=visit.crew.uid if visit.crew else None,
            items=tuple(work_key(each.key, each.kind) for each in visit.inspections),
        )
        for visit in plan.visits
        if visit.is_kept
    )


def _from_today(trip: GatheredTrip, today: date) -> GatheredTrip:
    terms = trip.terms
    if terms.start >= today:
        return trip
    if terms.end < today:
        raise InputRefused(f"The plan ended on {date_words(terms.end)}; plan anew from today.")
    return replace(trip, terms=replace(terms, start=today, allowed=tuple(day for day in terms.allowed if day >= today)))


def _unkept(days: Iterable[PlannedDay]) -> tuple[KeptVisit, ...]:
    return tuple(
        KeptVisit(uid=Uid(f"{at}"), plan=Uid(""), site=day.site, day=day.day, crew=day.crew, items=tuple(day.items))
        for at, day in enumerate(days)
    )


def _given(site: Uid, rows: Iterable[KeptVisit], bookings: Iterable[BookedVisit]) -> tuple[GivenVisit, ...]:
    own = [row for row in rows if row.site == site]
    there = {row.day for row in own}
    alone = [each for each in bookings if each.site == site and each.day not in there]
    given = [GivenVisit(key=each.uid, day=each.day, work=work_of(each.items)) for each in own]
    given += [GivenVisit(key=each.uid, day=each.day, work=work_of(each.items)) for each in alone]
    return tuple(sorted(given, key=lambda each: (each.day, each.key)))


def _follow(trip: GatheredTrip, visits: Sequence[GivenVisit]) -> FollowedVisits:
    return follow_visits(trip.items, trip.terms, visits)


def _visits(
    register: Register,
    ground: PlanGround,
    rows: Sequence[KeptVisit],
    bookings: Sequence[BookedVisit],
    followed: Mapping[Uid, tuple[tuple[GivenVisit, ...], FollowedVisits]],
) -> Iterator[LiveVisit]:
    crews = dict(ground.crews)
    free = list(bookings)
    for row in rows:
        booked = next((each for each in free if _is_of(each, row)), None)
        if booked is not None:
            free.remove(booked)
        yield LiveVisit(
            key=row.uid,
            site=ground.trips[row.site].sites[0],
            day=row.day,
            crew=_crew(register, crews, row.crew),
            inspections=followed[row.site][1].work[row.uid],
            booked=booked,
        )
    for each in free:
        work = followed[each.site][1].work
        yield LiveVisit(
            key=each.uid,
            site=ground.trips[each.site].sites[0],
            day=each.day,
            crew=_crew(register, crews, each.crew),
            inspections=work.get(each.uid, ()),
            booked=each,
            is_kept=False,
        )


def _is_of(booked: BookedVisit, row: KeptVisit) -> bool:
    same_crew = booked.crew is None or row.crew is None or booked.crew == row.crew
    return booked.site == row.site and booked.day == row.day and same_crew


def _crew(register: Register, known: dict[Uid, Crew], uid: Uid | None) -> Crew | None:
    if uid is None:
        return None
    if uid not in known:
        known[uid] = register.get(Crew, uid)
    return known[uid]


def _place(site: Site) -> VisitedPlace:
    return VisitedPlace(
        site=site.uid,
        district=site.district,
        travel_minutes=site.travel_minutes,
        set_up_minutes=site.set_up_minutes,
    )


def _days_out(ground: PlanGround, visits: Iterable[LiveVisit]) -> tuple[DayOut, ...]:
    """Visits of one crew on one day are one day out; where no crews are named, each site is one, or each district."""
    together: dict[tuple[date, str, str], list[LiveVisit]] = {}
    for visit in visits:
        alone = "" if visit.crew or ground.has_hours else visit.site.district or visit.site.uid
        together.setdefault((visit.day, visit.crew.uid if visit.crew else "", alone), []).append(visit)
    return tuple(_day_out(ground, day, made) for (day, _, _), made in sorted(together.items()))


def _day_out(ground: PlanGround, day: date, visits: Sequence[LiveVisit]) -> DayOut:
    crew = visits[0].crew
    people = crew.people if crew else 1
    minutes = crew.minutes_a_day if crew else ground.full_day
    return day_out(
        day,
        crew=crew.uid if crew else "",
        people=people,
        capacity_minutes=people * minutes,
        visits=[
            (
                _place(visit.site),
                SiteVisit(
                    site=visit.site.uid,
                    inspections=visit.inspections,
                    set_up_minutes=visit.site.set_up_minutes,
                    is_booked=visit.booked is not None,
                ),
            )
            for visit in visits
        ],
        ways=ground.ways,
    )


def _late_days(row: ToldInspection) -> int:
    return row.planned.late_days if isinstance(row.planned, PlannedInspection) else 0


def _hasty_days(row: ToldInspection) -> int:
    return row.planned.hasty_days if isinstance(row.planned, PlannedInspection) else 0
