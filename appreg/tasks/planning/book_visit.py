"""Book a visit: a day agreed with a site, which later plans go round; confirm it, move it, cancel it."""

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


def confirm_booking(register: Register, who: str, booking: Uid, *, confirmed: bool = True) -> BookedVisit:
    """Note that the site has said that the day will do, or no longer does."""
    with register.change(who, "visit confirmed" if confirmed else "visit no longer confirmed") as change:
        booked = replace(register.get(BookedVisit, booking), confirmed=confirmed)
        change.put(booked)
    return booked


def move_booking(
    register: Register, who: str, booking: Uid, *, day: date, opened: BookedVisit | None = None
) -> BookedVisit:
    """Move a booked visit to another day, for which the site is to be asked anew; its event in calendars stays the same.

    `opened` is the booking as it was shown; raises InputRefused where another desk changed it since.
    """
    with register.change(who, "booked visit moved") as change:
        before = register.get(BookedVisit, booking)
        if opened is not None and before != opened:
            raise InputRefused(
                f"Another desk changed the visit that was booked for {date_words(opened.day)}; look at it, and move it "
                "once more if that is still wanted.",
                field="day",
            )
        if before.day == day:
            return before
        booked = replace(before, day=day, confirmed=False)
        _check(register, booked)
        change.put(booked)
    return booked


def cancel_booking(register: Register, who: str, booking: Uid) -> None:
    """Take a booked visit out; the next calendar tells that it is cancelled."""
    with register.change(who, "booked visit cancelled") as change:
        change.remove(register.get(BookedVisit, booking))


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
