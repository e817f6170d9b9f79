"""Book a visit: a day agreed with a site, which later plans go round; change it, cancel it."""

from collections.abc import Sequence
from datetime import date

from msgspec.structs import replace

from appreg.core.records.kept_records import Person, Site
from appreg.core.records.planning_records import BookedVisit, CalendarEntry, CalendarKind, Crew
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.text import LONGEST, clean
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.opening.register_file import Register
from appreg.schedule.calendar_following import DOMAIN
from appreg.schedule.kept_days import refuse_closed


def book_visit(
    register: Register,
    who: str,
    *,
    site: Uid,
    day: date,
    crew: Uid | None = None,
    person: Uid | None = None,
    confirmed: bool = False,
    items: Sequence[Uid] = (),
    note: str = "",
) -> BookedVisit:
    """Book a visit of a crew, or of a person; `items` are those that are done, whatever is due where there are none.

    Raises InputRefused where the site is closed or the crew away on that day, or the visit is booked already.
    """
    with register.change(who, "visit booked") as change:
        uid = change.new_uid()
        booked = BookedVisit(
            uid=uid,
            site=site,
            day=day,
            crew=crew,
            person=person,
            confirmed=confirmed,
            items=tuple(dict.fromkeys(items)),
            note=clean(note, field="note", longest=LONGEST),
            event=_event_there(register, site, day) or f"visit-{uid.lower()}@{DOMAIN}",
        )
        _check(register, booked)
        change.put(booked)
    return booked


def change_booking(register: Register, who: str, opened: BookedVisit, now: BookedVisit) -> BookedVisit:
    """Put what is agreed now in place of what was; key, site and event in calendars stay.

    `opened` is the booking as it was shown; raises InputRefused as book_visit does for another day, crew or person,
    and where another desk changed it since.
    """
    with register.change(who, "booked visit changed") as change:
        _refuse_changed(register, opened)
        booked = replace(now, uid=opened.uid, site=opened.site, event=opened.event)
        if (booked.day, booked.crew, booked.person) != (opened.day, opened.crew, opened.person):
            _check(register, booked)
        change.put(booked)
    return booked


def cancel_booking(register: Register, who: str, opened: BookedVisit) -> None:
    """Take a booked visit out, which the next calendar tells; raises InputRefused where another desk changed it since."""
    with register.change(who, "booked visit cancelled") as change:
        _refuse_changed(register, opened)
        change.remove(opened)


def _refuse_changed(register: Register, opened: BookedVisit) -> None:
    if opened not in register.find(BookedVisit, uid=opened.uid):
        raise InputRefused(
            f"Another desk changed the visit that was booked for {date_words(opened.day)}; look at it, and change it "
            "once more if that is still wanted.",
            field="day",
        )


def booked_visits(
    register: Register, *, sites: Sequence[Uid] | None = None, start: date = date.min
) -> tuple[BookedVisit, ...]:
    """The visits booked for that day or later, by day; `sites` None: at all sites."""
    booked = register.find_readable(BookedVisit)
    wanted = [each for each in booked if each.day >= start and (sites is None or each.site in sites)]
    return tuple(sorted(wanted, key=lambda each: (each.day, each.uid)))


def _check(register: Register, booked: BookedVisit) -> None:
    site = register.get(Site, booked.site)
    crew = register.get(Crew, booked.crew) if booked.crew else None
    if booked.person:
        register.get(Person, booked.person)
    refuse_closed(site, booked.day, crew)
    for other in register.find(BookedVisit, site=booked.site):
        same = (other.day, other.crew, other.person) == (booked.day, booked.crew, booked.person)
        if same and other.uid != booked.uid:
            raise InputRefused(
                f"A visit to {site.name} is booked for {date_words(booked.day)} already; change that one.", field="day"
            )


def _event_there(register: Register, site: Uid, day: date) -> str:
    """The event by which calendars know a planned visit of that day, where no booking has it."""
    taken = {each.event for each in register.find(BookedVisit, site=site)}
    for entry in register.find(CalendarEntry, site=site):
        if entry.kind is CalendarKind.VISIT and entry.day == day and not entry.cancelled and entry.event not in taken:
            return entry.event
    return ""
