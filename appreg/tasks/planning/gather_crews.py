"""Plan all trips over the crews that the register knows, or over the hours that a day has."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from msgspec.structs import replace

from appreg.core.records.kept_records import Site
from appreg.core.records.planning_records import BookedVisit, Crew, DistrictTravel
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.opening.register_file import Register
from appreg.schedule.crew_terms import CrewTerms, FixedVisit, PlanCrew, PlanSite
from appreg.schedule.kept_days import days_at, days_of_crew, preferred_at
from appreg.schedule.plan_items import PlanItem
from appreg.schedule.plan_terms import PlanTerms
from appreg.schedule.visiting_days import Closure


def crew_terms(
    register: Register, crews: Sequence[Uid], terms: PlanTerms, trips: Mapping[str, Sequence[Site]]
) -> CrewTerms:
    """What the crews keep to; with none named, one crew that has the working time of a day.

    `trips` are the sites of each trip by its key. Raises NotFound for an unknown crew, InputRefused for one
    that never works within the plan.
    """
    if crews:
        found = tuple(_crew(register.get(Crew, uid), terms) for uid in dict.fromkeys(crews))
        found += _only_booked(register, frozenset(crews), terms, trips)
    else:
        found = (PlanCrew(key="", people=1, minutes=dict.fromkeys(terms.allowed, terms.capacity_minutes or 0)),)
    return CrewTerms(
        start=terms.start,
        end=terms.end,
        crews=found,
        tolerance_percent=terms.tolerance_percent,
        within_district={
            each.district: each.minutes for each in register.find(DistrictTravel) if each.district == each.other
        },
        booked=tuple(fixed_visits(register, {crew.key for crew in found}, terms, trips)),
    )


def _crew(crew: Crew, terms: PlanTerms) -> PlanCrew:
    days = days_of_crew(crew, terms.start, terms.end)
    if not days:
        raise InputRefused(
            f"{crew.name} does not work on any day from {date_words(terms.start)} to {date_words(terms.end)}; "
            "change its days, or plan without it."
        )
    return PlanCrew(key=crew.uid, people=crew.people, minutes=dict.fromkeys(days, crew.minutes_a_day))


def _only_booked(
    register: Register, crews: frozenset[Uid], terms: PlanTerms, trips: Mapping[str, Sequence[Site]]
) -> tuple[PlanCrew, ...]:
    """Crews that are not planned for, with the days alone on which they are booked: no other crew loses its day."""
    days: dict[Uid, set[date]] = {}
    for each in (b for sites in trips.values() for site in sites for b in register.find(BookedVisit, site=site.uid)):
        if each.crew and each.crew not in crews and terms.start <= each.day <= terms.end:
            days.setdefault(each.crew, set()).add(each.day)
    known = {uid: register.get(Crew, uid) for uid in sorted(days)}
    return tuple(
        PlanCrew(key=uid, people=crew.people, minutes=dict.fromkeys(sorted(days[uid]), crew.minutes_a_day))
        for uid, crew in known.items()
    )


def fixed_visits(
    register: Register, crews: set[str], terms: PlanTerms, trips: Mapping[str, Sequence[Site]]
) -> Iterable[FixedVisit]:
    """The visits agreed within the plan; one whose crew is not planned for goes to whoever has most time."""
    for key, sites in trips.items():
        for site in sites:
            for each in register.find(BookedVisit, site=site.uid):
                if terms.start <= each.day <= terms.end:
                    crew = each.crew if each.crew in crews else None
                    yield FixedVisit(site=key, day=each.day, crew=crew, items=frozenset(each.items) or None)


def days_open(site: Site, terms: PlanTerms, rule: str, closures: Iterable[Closure]) -> tuple[date, ...]:
    """The days on which a site lets people in: those of the plan's rule where one is given, its own otherwise."""
    ruled = site if site.access_days else replace(site, access_days=rule)
    own = days_at(ruled, terms.start, terms.end, closures=closures)
    if not (rule and site.access_days):
        return own
    allowed = set(terms.allowed)
    return tuple(day for day in own if day in allowed)


def plan_site(key: str, sites: Sequence[Site], items: Sequence[PlanItem], terms: PlanTerms) -> PlanSite:
    """The sites of a trip as one place to plan for: its days are those of the terms."""
    districts = {site.district for site in sites}
    wanted = [preferred_at(site, terms.allowed) for site in sites if site.preferred]
    preferred = set(terms.allowed).intersection(*wanted) if wanted else set()
    return PlanSite(
        key=key,
        items=tuple(items),
        allowed=terms.allowed,
        preferred=frozenset(preferred),
        set_up_minutes=sum(site.set_up_minutes for site in sites),
        travel_minutes=max((site.travel_minutes for site in sites), default=0),
        district=districts.pop() if len(districts) == 1 else "",
    )
