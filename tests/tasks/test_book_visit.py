"""Booked visits: agreed with the site, moved, confirmed and cancelled, and the same event in calendars throughout."""

from datetime import date

import pytest
from msgspec.structs import replace

from appreg.core.records.planning_records import BookedVisit, CalendarEntry, CalendarKind, Crew
from appreg.errors import InputRefused, NotFound
from appreg.register.checking.checking import problems
from appreg.register.history.journal import history_of
from appreg.register.history.undoing import undo_change
from appreg.tasks.planning.book_visit import (
    book_visit,
    booked_visits,
    cancel_booking,
    change_booking,
)
from tests.tasks.worked_site import TODAY, WHO, WorkedSite

MARCH, JUNE = date(2027, 3, 2), date(2027, 6, 1)


def test_a_visit_is_booked_confirmed_moved_and_cancelled(here: WorkedSite) -> None:
    booked = book_visit(
        here.register, WHO, site=here.site.uid, day=MARCH, person=here.person.uid, note="key at the [red] lodge"
    )
    assert (booked.confirmed, booked.note) == (False, "key at the [red] lodge")
    confirmed = change_booking(here.register, WHO, booked, replace(booked, confirmed=True))
    assert confirmed.confirmed
    # Its event in calendars is the same, wherever it is moved to.
    elsewhere = replace(confirmed, day=JUNE, confirmed=False, event="", uid=here.register.new_uid())
    moved = change_booking(here.register, WHO, confirmed, elsewhere)
    assert moved == replace(booked, day=JUNE)
    assert booked_visits(here.register, start=TODAY) == (moved,)
    assert booked_visits(here.register, sites=[]) == booked_visits(here.register, start=date(2027, 7, 1)) == ()
    cancel_booking(here.register, WHO, moved)
    assert here.register.find(BookedVisit) == []
    undo_change(here.register, WHO, history_of(here.register, booked.uid)[-1].change)
    assert here.register.find(BookedVisit) == [moved]
    assert list(problems(here.register)) == []


def test_a_visit_that_a_calendar_has_already_keeps_its_event_when_it_is_booked(here: WorkedSite) -> None:
    entry = CalendarEntry(
        uid=here.register.new_uid(), event="visit-x@appreg.invalid", kind=CalendarKind.VISIT, site=here.site.uid,
        day=MARCH, content="",
    )  # fmt: skip
    with here.register.change(WHO) as change:
        change.put(entry)
    first = book_visit(here.register, WHO, site=here.site.uid, day=MARCH)
    other = book_visit(here.register, WHO, site=here.site.uid, day=MARCH, person=here.person.uid)
    assert first.event == entry.event
    assert other.event not in {"", entry.event}


def test_what_cannot_be_booked_is_refused_with_its_reason(here: WorkedSite) -> None:
    crew = Crew(uid=here.register.new_uid(), name="North", absent=("2027-06-01 course",))
    with here.register.change(WHO) as change:
        change.put(crew)
        change.put(replace(here.site, closures=("2026-12-24..2027-01-02 works closed",)))
    with pytest.raises(InputRefused, match=r"Harbour Row is closed on 01 Jan 2027 \(works closed\)") as refused:
        book_visit(here.register, WHO, site=here.site.uid, day=date(2027, 1, 1))
    assert refused.value.field == "day"
    with pytest.raises(InputRefused, match="North is not there"):
        book_visit(here.register, WHO, site=here.site.uid, day=JUNE, crew=crew.uid)
    booked = book_visit(here.register, WHO, site=here.site.uid, day=JUNE)
    with pytest.raises(InputRefused, match="booked for 01 Jun 2027 already"):
        book_visit(here.register, WHO, site=here.site.uid, day=JUNE)
    with pytest.raises(NotFound):
        book_visit(here.register, WHO, site=here.register.new_uid(), day=JUNE)
    with pytest.raises(InputRefused, match="is closed"):
        change_booking(here.register, WHO, booked, replace(booked, day=date(2026, 12, 24)))
    with pytest.raises(InputRefused, match="North is not there"):
        change_booking(here.register, WHO, booked, replace(booked, crew=crew.uid))
    assert here.register.find(BookedVisit) == [booked]


def test_a_booking_that_another_desk_moved_is_not_moved_unseen(here: WorkedSite) -> None:
    booked = book_visit(here.register, WHO, site=here.site.uid, day=MARCH)
    zoes = change_booking(here.register, "Zoe", booked, replace(booked, day=JUNE))
    with pytest.raises(InputRefused, match="Another desk changed the visit that was booked for 02 Mar 2027"):
        change_booking(here.register, WHO, booked, replace(booked, day=date(2027, 3, 9)))
    with pytest.raises(InputRefused, match="Another desk changed"):
        cancel_booking(here.register, WHO, booked)
    cancel_booking(here.register, "Zoe", zoes)
    with pytest.raises(InputRefused, match="Another desk changed"):
        change_booking(here.register, WHO, zoes, zoes)
