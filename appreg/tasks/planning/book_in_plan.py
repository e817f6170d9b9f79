"""Book visits of a plan that is kept: an act upon it like any other, undone with it, and respected by later plans."""

from datetime import date

from msgspec import Struct
from msgspec.structs import replace

from appreg.core.records.kept_records import Person, Site
from appreg.core.records.planning_records import BookedVisit, Crew, KeptVisit
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.text import LONGEST, clean
from appreg.core.values.uids import Uid
from appreg.register.opening.register_file import Register
from appreg.tasks.planning.book_visit import book_visit, cancel_booking, change_booking
from appreg.tasks.planning.change_plan import count_step


class Booking(Struct, frozen=True, kw_only=True):
    """What is agreed for a visit."""

    day: date
    person: Uid | None = None
    crew: Uid | None = None
    confirmed: bool = False
    note: str = ""


def book_in_plan(
    register: Register, who: str, plan: Uid, *, site: Uid, wanted: Booking, visit: Uid | None = None
) -> BookedVisit:
    """Book a visit; `visit` is the kept one, which goes to the day with it.

    Raises InputRefused where the site is closed or the crew away on that day, or it is booked already.
    """
    said = f"{_name(register, site)} booked for {date_words(wanted.day)}{_whom(register, wanted)}"
    with register.change(who, said) as change:
        if visit is not None:
            kept = register.get(KeptVisit, visit)
            change.put(replace(kept, day=wanted.day, crew=wanted.crew or kept.crew))
        booked = book_visit(
            register,
            who,
            site=site,
            day=wanted.day,
            crew=wanted.crew,
            person=wanted.person,
            confirmed=wanted.confirmed,
            note=wanted.note,
        )
        count_step(register, change, plan, said)
    return booked


def change_in_plan(
    register: Register, who: str, plan: Uid, *, booked: BookedVisit, wanted: Booking, visit: Uid | None = None
) -> BookedVisit:
    """Change what is agreed for a booked visit; on another day the site is to be asked anew, unless it is said to agree.

    Raises InputRefused as book_in_plan does, and where another desk changed it since.
    """
    moved = booked.day != wanted.day
    agreed = " and confirmed" if wanted.confirmed else ""
    where = _name(register, booked.site)
    said = (
        f"the booking of {where} moved from {date_words(booked.day)} to {date_words(wanted.day)}{agreed}"
        if moved
        else f"the booking of {where} on {date_words(booked.day)} changed{agreed}"
    )
    with register.change(who, said) as change:
        if visit is not None:
            kept = register.get(KeptVisit, visit)
            change.put(replace(kept, day=wanted.day, crew=wanted.crew or kept.crew))
        now = replace(
            booked,
            day=wanted.day,
            crew=wanted.crew,
            person=wanted.person,
            confirmed=wanted.confirmed,
            note=clean(wanted.note, field="note", longest=LONGEST),
        )
        changed = change_booking(register, who, booked, now)
        count_step(register, change, plan, said)
    return changed


def cancel_in_plan(register: Register, who: str, plan: Uid, booked: BookedVisit) -> None:
    """Take back what was agreed; the visit stays in the plan, and the next calendar tells that it is no longer booked.

    Raises InputRefused where another desk changed it since.
    """
    said = f"the booking of {_name(register, booked.site)} on {date_words(booked.day)} cancelled"
    with register.change(who, said) as change:
        cancel_booking(register, who, booked)
        count_step(register, change, plan, said)


def _whom(register: Register, wanted: Booking) -> str:
    names = []
    if wanted.person:
        names.append(register.get(Person, wanted.person).name)
    if wanted.crew:
        names.append(register.get(Crew, wanted.crew).name)
    return f" with {' and '.join(names)}" if names else ""


def _name(register: Register, site: Uid) -> str:
    return register.get(Site, site).name
