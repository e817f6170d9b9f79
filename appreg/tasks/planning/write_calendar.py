"""Write a plan of visits, with what is overdue today, as a calendar file, and remember what it was told."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, datetime
from hashlib import sha256
from pathlib import Path
from typing import Final

from msgspec import Struct
from msgspec.structs import replace as changed

from appreg.core.records.kept_records import Site, Visit
from appreg.core.records.planning_records import BookedVisit, CalendarEntry, CalendarKind
from appreg.core.values.asset_tags import tag_order
from appreg.core.values.counted_words import counted
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.text import shown
from appreg.core.values.uids import Uid
from appreg.exchange.calendar_file import CalendarTask, CalendarVisit, VisitStatus, calendar_bytes
from appreg.files import write_whole
from appreg.register.opening.register_file import Register
from appreg.schedule.calendar_following import DOMAIN, FollowedEntry, Known, WantedEntry, follow
from appreg.schedule.due_states import DueState
from appreg.schedule.plan_items import LineKind, PlannedInspection
from appreg.tasks.planning.list_due import list_due
from appreg.tasks.planning.plan_visits import TripPlan
from appreg.tasks.standing.due_lines import DueLine

_KIND_WORDS: Final = {LineKind.VISUAL: "visual inspection", LineKind.TEST: "inspection and test"}
_LONGEST_NAME: Final = 200
_OLDEST_TOLD: Final = 10
"""Lines of a to-do that name an item."""
REASON: Final = "calendar"

Entry = CalendarVisit | CalendarTask


class WrittenCalendar(Struct, frozen=True, kw_only=True):
    """A calendar that was written."""

    path: Path
    visits: int
    tasks: int
    """Sites with something overdue."""
    cancelled: int
    """Visits and to-dos that are gone since the calendar was written before."""
    remembered: bool
    """False: the register may not be written to, so that a later calendar does not follow from this one."""

    def words(self) -> str:
        """What it holds, in a sentence for whoever asked for it."""
        parts = [f"{counted(self.visits, 'visit')} as {'event' if self.visits == 1 else 'events'}"]
        if self.tasks:
            parts.append(f"a to-do for {counted(self.tasks, 'site')} with something overdue")
        if self.cancelled:
            parts.append(f"{self.cancelled} cancelled that stood in the calendar before")
        forgets = "" if self.remembered else " It is not remembered, as the register is open to read only."
        return f"{self.path}: {', '.join(parts)}.{forgets}"


def write_calendar(
    register: Register,
    who: str,
    *,
    trips: Sequence[TripPlan],
    out: Path,
    replace: bool = False,
    today: date,
    written: datetime,
) -> WrittenCalendar:
    """Write the visits as events, one a site and day, and what is overdue at each site as one to-do.

    What was written before keeps its key: changed, it has a higher sequence, and what is gone goes out once more
    as cancelled. `written` stamps every entry; a file that is there already gives way only with `replace`.
    Raises InputRefused where the file cannot be written; nothing is remembered then.
    """
    sites = {site.uid: site for trip in trips for site in trip.sites}
    said: list[tuple[Uid, Entry]] = [*_visits(register, trips, sites), *_tasks(register, sites, today)]
    wanted = [_wanted(site, entry) for site, entry in said]
    name = f"Inspections of {', '.join(site.name for site in sites.values())}"[:_LONGEST_NAME]
    start = min((trip.terms.start for trip in trips), default=today)
    if register.read_only:
        followed = follow(wanted, _known(register, sites, today, start))
        write_whole(out, _content(followed, said, sites, name, written), replace=replace)
    else:
        with register.change(who, REASON) as change:
            followed = follow(wanted, _known(register, sites, today, start))
            for each in followed:
                entry = _remembered(each, change.new_uid()) if each.changes else None
                if entry is not None:
                    change.put(entry)
            write_whole(out, _content(followed, said, sites, name, written), replace=replace)
    kinds = [each.wanted.kind for each in followed if each.wanted]
    return WrittenCalendar(
        path=out,
        visits=kinds.count(CalendarKind.VISIT),
        tasks=kinds.count(CalendarKind.TASK),
        cancelled=len(followed) - len(kinds),
        remembered=not register.read_only,
    )


def _known(register: Register, sites: Iterable[Uid], today: date, start: date) -> Known:
    entries = [entry for uid in sites for entry in register.find(CalendarEntry, site=uid)]
    done = {uid: {visit.date for visit in register.find(Visit, site=uid)} for uid in sites}
    return Known(entries=entries, done=done, today=today, start=start)


def _wanted(site: Uid, entry: Entry) -> WantedEntry:
    if isinstance(entry, CalendarTask):
        kind, day, status = CalendarKind.TASK, entry.due, ""
    else:
        kind, day, status = CalendarKind.VISIT, entry.day, entry.status.value
    says = f"{entry.title}\n{entry.details}\n{entry.place}\n{status}"
    return WantedEntry(site=site, kind=kind, day=day, content=sha256(says.encode()).hexdigest(), event=entry.uid)


def _remembered(each: FollowedEntry, uid: Uid) -> CalendarEntry | None:
    if each.wanted is not None:
        return CalendarEntry(
            uid=each.before.uid if each.before else uid,
            event=each.event,
            kind=each.wanted.kind,
            site=each.wanted.site,
            day=each.wanted.day,
            sequence=each.sequence,
            content=each.wanted.content,
        )
    return changed(each.before, sequence=each.sequence, cancelled=True) if each.before else None


def _content(
    followed: Sequence[FollowedEntry],
    said: Sequence[tuple[Uid, Entry]],
    sites: Mapping[Uid, Site],
    name: str,
    written: datetime,
) -> bytes:
    """The calendar; what is wanted comes first among what goes out, in the order in which it was said."""
    entries: list[Entry] = [
        changed(entry, uid=each.event, sequence=each.sequence) for each, (_, entry) in zip(followed, said, strict=False)
    ]
    entries += [_cancelled(each, each.before, sites) for each in followed[len(said) :] if each.before]
    visits = [each for each in entries if isinstance(each, CalendarVisit)]
    tasks = [each for each in entries if isinstance(each, CalendarTask)]
    return calendar_bytes(visits, tasks, name=name, written=written)


def _cancelled(each: FollowedEntry, entry: CalendarEntry, sites: Mapping[Uid, Site]) -> Entry:
    site = sites[entry.site]
    if entry.kind is CalendarKind.TASK:
        title = f"Nothing is overdue at {site.name}"
        return CalendarTask(
            uid=entry.event, due=entry.day, title=title, details="", place="", sequence=each.sequence, cancelled=True
        )
    return CalendarVisit(
        uid=entry.event,
        day=entry.day,
        title=f"No visit to {site.name}",
        details="",
        place=site.address or site.name,
        sequence=each.sequence,
        status=VisitStatus.CANCELLED,
    )


def _visits(
    register: Register, trips: Sequence[TripPlan], sites: Mapping[Uid, Site]
) -> Iterator[tuple[Uid, CalendarVisit]]:
    """One event a site and day, and one for each booked visit that no trip has."""
    planned: dict[tuple[Uid, date], list[tuple[TripPlan, PlannedInspection]]] = {}
    for trip in trips:
        for visit in trip.plan.visits:
            for each in visit.inspections:
                planned.setdefault((trip.appliances[each.key].site, visit.day), []).append((trip, each))
    start = min((trip.terms.start for trip in trips), default=date.max)
    booked = {(b.site, b.day): b for uid in sites for b in register.find(BookedVisit, site=uid) if b.day >= start}
    for place in sorted({*planned, *booked}, key=lambda each: (each[1], sites[each[0]].name.casefold(), each[0])):
        uid, day = place
        yield uid, _visit(sites[uid], day, planned.get(place, ()), booked.get(place))


def _visit(
    site: Site, day: date, work: Sequence[tuple[TripPlan, PlannedInspection]], booked: BookedVisit | None
) -> CalendarVisit:
    items = len({each.key for _, each in work})
    minutes = sum(each.minutes for _, each in work)
    status = VisitStatus.PLANNED
    lines = []
    if booked is not None:
        status = VisitStatus.CONFIRMED if booked.confirmed else VisitStatus.TENTATIVE
        lines = [shown(booked.note)] if booked.note else []
    return CalendarVisit(
        uid=booked.event if booked else "",
        day=day,
        title=f"Inspect {site.name}: {counted(items, 'item')}, {minutes} min" if work else f"Inspect {site.name}",
        details="\n".join((*lines, *_item_lines(work))),
        place=site.address or site.name,
        status=status,
    )


def _item_lines(work: Sequence[tuple[TripPlan, PlannedInspection]]) -> Iterator[str]:
    told = [(trip.appliances[each.key], each) for trip, each in work]
    for item, each in sorted(told, key=lambda one: tag_order(one[0].tag)):
        due = f"due {date_words(each.due)}" if each.due else "never inspected"
        yield shown(f"{item.tag} {item.name}: {_KIND_WORDS[each.kind]}, {due}")


def _tasks(register: Register, sites: Mapping[Uid, Site], today: date) -> Iterator[tuple[Uid, CalendarTask]]:
    """One to-do a site where something is overdue, with its count."""
    for uid, site in sites.items():
        lines = [
            line
            for line in list_due(register, today=today, within_days=0, site=uid).lines
            if line.due is not None and line.state is DueState.OVERDUE
        ]
        if lines:
            lines.sort(key=lambda line: (line.due or today, tag_order(line.appliance.tag)))
            yield uid, _task(site, lines, lines[0].due or today)


def _task(site: Site, lines: Sequence[DueLine], oldest: date) -> CalendarTask:
    items = len({line.appliance.uid for line in lines})
    told = [
        shown(f"{line.appliance.tag} {line.appliance.name}: {_KIND_WORDS[LineKind(line.what)]}, due {_day(line)}")
        for line in lines[:_OLDEST_TOLD]
    ]
    if len(lines) > _OLDEST_TOLD:
        told.append(f"and {len(lines) - _OLDEST_TOLD} more")
    return CalendarTask(
        uid=f"overdue-{site.uid.lower()}@{DOMAIN}",
        due=oldest,
        title=f"Overdue at {site.name}: {counted(len(lines), 'inspection')} of {counted(items, 'item')}",
        details="\n".join(told),
        place=site.address or site.name,
    )


def _day(line: DueLine) -> str:
    return date_words(line.due) if line.due else ""
