"""Write a plan of visits, with what is overdue today, as a calendar file."""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime
from hashlib import sha256
from pathlib import Path
from typing import Final

from appreg.core.records.kept_records import Visit
from appreg.core.values.asset_tags import tag_order
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.text import shown
from appreg.core.values.uids import Uid
from appreg.exchange.calendar_file import CalendarTask, CalendarVisit, calendar_bytes
from appreg.files import write_whole
from appreg.register.opening.register_file import Register
from appreg.schedule.due_states import DueState
from appreg.schedule.plan_items import LineKind, PlannedVisit
from appreg.tasks.planning.list_due import list_due
from appreg.tasks.planning.plan_visits import TripPlan
from appreg.tasks.standing.due_lines import DueLine

_KIND_WORDS: Final = {LineKind.VISUAL: "visual inspection", LineKind.TEST: "inspection and test"}
_DOMAIN: Final = "appreg.invalid"
"""RFC 2606: a name that nobody can own."""
_LONGEST_NAME: Final = 200


def write_calendar(
    register: Register, *, trips: Sequence[TripPlan], out: Path, replace: bool = False, today: date, written: datetime
) -> Path:
    """Write the visits as events and the overdue inspections of their sites as to-dos; returns the file.

    `written` stamps every entry; a file that is there already gives way only with `replace`.
    Raises InputRefused where the file cannot be written.
    """
    sites = {site.uid: site for trip in trips for site in trip.sites}
    visits = [event for trip in trips for event in _events(register, trip)]
    overdue = [
        _overdue_task(line, line.due)
        for uid in sites
        for line in list_due(register, today=today, within_days=0, site=uid).lines
        if line.due is not None and line.state is DueState.OVERDUE
    ]
    name = f"Inspections of {', '.join(site.name for site in sites.values())}"
    write_whole(out, calendar_bytes(visits, overdue, name=name[:_LONGEST_NAME], written=written), replace=replace)
    return out


def _events(register: Register, trip: TripPlan) -> Iterator[CalendarVisit]:
    place = _place_key([site.uid for site in trip.sites])
    names = ", ".join(site.name for site in trip.sites)
    addresses = "; ".join(site.address for site in trip.sites if site.address)
    for number, visit in _numbered(trip.plan.visits, _days_done(register, trip)):
        counted = _counted(len({each.key for each in visit.inspections}), "item")
        yield CalendarVisit(
            uid=f"visit-{place}-{number}@{_DOMAIN}",
            day=visit.day,
            title=f"Inspect {names}: {counted}, {visit.minutes} min",
            details="\n".join(_item_lines(trip, visit)),
            place=addresses or names,
        )


def _days_done(register: Register, trip: TripPlan) -> set[date]:
    """Days before the plan on which work was done, so that later visits of that year keep their number."""
    visits = [visit for site in trip.sites for visit in register.find(Visit, site=site.uid)]
    return {visit.date for visit in visits if visit.date < trip.terms.start}


def _numbered(visits: Iterable[PlannedVisit], done: set[date]) -> Iterator[tuple[str, PlannedVisit]]:
    """Each visit by its year and place in it: moved within the year, it stays the same event."""
    counts = Counter(day.year for day in done)
    for visit in visits:
        counts[visit.day.year] += 1
        yield f"{visit.day.year}-{counts[visit.day.year]}", visit


def _place_key(sites: Sequence[Uid]) -> str:
    if len(sites) == 1:
        return sites[0].lower()
    return sha256("+".join(sorted(sites)).encode()).hexdigest()[:26]


def _item_lines(trip: TripPlan, visit: PlannedVisit) -> Iterator[str]:
    for each in sorted(visit.inspections, key=lambda one: tag_order(trip.appliances[one.key].tag)):
        item = trip.appliances[each.key]
        due = f"due {date_words(each.due)}" if each.due else "never inspected"
        yield shown(f"{item.tag} {item.name}: {_KIND_WORDS[each.kind]}, {due}")


def _overdue_task(line: DueLine, due: date) -> CalendarTask:
    item = line.appliance
    kind = _KIND_WORDS[LineKind(line.what)]
    return CalendarTask(
        uid=f"overdue-{item.uid.lower()}-{line.what}@{_DOMAIN}",
        due=due,
        title=f"Overdue: {kind} of {item.tag} {item.name}",
        details=f"Due {date_words(due)}: {line.because}",
        place=f"{line.site.name}, {line.location.name}",
    )


def _counted(number: int, what: str) -> str:
    return f"1 {what}" if number == 1 else f"{number} {what}s"
