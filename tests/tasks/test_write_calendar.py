"""Calendars written one after the other, as a calendar program takes them in: by key, the higher sequence, cancelled ones out."""

from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from icalendar import Calendar
from msgspec import Struct, structs

from appreg.core.records.kept_records import Site
from appreg.core.records.planning_records import BookedVisit, CalendarEntry
from appreg.errors import InputRefused
from appreg.register.checking.checking import problems
from appreg.register.engine import file_opening
from appreg.register.opening.register_file import open_register
from appreg.tasks.planning.plan_visits import PlanWishes, TripPlan, plan_visits
from appreg.tasks.planning.write_calendar import WrittenCalendar, write_calendar
from appreg.tasks.records.add_location import add_location
from appreg.tasks.records.add_site import add_site
from appreg.tasks.records.change_record import move_items
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined

WRITTEN = datetime(2026, 11, 24, 9, 0, tzinfo=UTC)
DAILY, TUESDAYS, FIRSTS = "FREQ=DAILY", "FREQ=WEEKLY;BYDAY=TU", "FREQ=MONTHLY;BYMONTHDAY=1"


class Diary(Struct):
    """A calendar program: RFC 5545, 3.8.7.4, and RFC 5546, 2.1.5 (published), on which of two entries with a key holds."""

    entries: dict[str, tuple[int, date, str, str]] = {}

    def take_in(self, path: Path) -> None:
        """Import a file."""
        for each in Calendar.from_ical(path.read_bytes()).walk():
            if each.name not in {"VEVENT", "VTODO"}:
                continue
            key, sequence = str(each["UID"]), int(str(each["SEQUENCE"]))
            day = each.decoded("DTSTART" if each.name == "VEVENT" else "DUE")
            status = str(each.get("STATUS", ""))
            if key not in self.entries or sequence >= self.entries[key][0]:
                self.entries[key] = (sequence, day, str(each["SUMMARY"]), status)

    def shown(self, kind: str = "visit") -> dict[str, date]:
        """What stands in it."""
        live = {key: each for key, each in self.entries.items() if each[3] != "CANCELLED"}
        return {key: day for key, (_, day, _, _) in live.items() if key.startswith(kind)}


def planned(here: WorkedSite, *sites: Site, start: date = TODAY, days: str = DAILY, years: int = 3) -> TripPlan:
    wishes = PlanWishes(start=start, days=days, years=years)
    trip = tuple(site.uid for site in sites or (here.site,))
    return plan_visits(here.register, trips=[trip], wishes=wishes).trips[0]


def written(here: WorkedSite, out: Path, *trips: TripPlan, today: date = TODAY) -> WrittenCalendar:
    return write_calendar(
        here.register, WHO, trips=trips, out=out, replace=True, today=today, written=WRITTEN + (today - TODAY)
    )


def days_of(*trips: TripPlan) -> list[date]:
    return sorted(visit.day for trip in trips for visit in trip.plan.visits)


def test_a_calendar_taken_in_again_and_again_is_the_plan_and_holds_nothing_else(
    here: WorkedSite, tmp_path: Path
) -> None:
    out, diary = tmp_path / "p.ics", Diary()
    here.record(here.kettle(), combined(), here.visit(date(2026, 6, 24)))
    here.record(here.kettle(), combined(), here.visit(date(2026, 8, 10)))
    for days, years in ((DAILY, 3), (TUESDAYS, 3), (FIRSTS, 3), (DAILY, 1), (TUESDAYS, 3)):
        trip = planned(here, days=days, years=years)
        written(here, out, trip)
        diary.take_in(out)
        assert sorted(diary.shown().values()) == days_of(trip)
    assert list(problems(here.register)) == []


def test_written_again_unchanged_nothing_rises_and_nothing_is_noted(here: WorkedSite, tmp_path: Path) -> None:
    here.record(here.kettle(), combined(), here.visit(date(2026, 6, 24)))
    first = written(here, tmp_path / "1.ics", planned(here))
    noted = here.register.find(CalendarEntry)
    again = written(here, tmp_path / "2.ics", planned(here))
    assert (first.visits, first.cancelled, again.cancelled) == (len(noted), 0, 0)
    assert here.register.find(CalendarEntry) == noted
    assert (tmp_path / "1.ics").read_bytes() == (tmp_path / "2.ics").read_bytes()


def test_a_visit_that_moves_keeps_its_key_and_rises_and_one_that_is_gone_goes_out_once_as_cancelled(
    here: WorkedSite, tmp_path: Path
) -> None:
    out = tmp_path / "p.ics"
    here.record(here.kettle(), combined(), here.visit(date(2026, 6, 24)))
    written(here, out, planned(here))
    before = {each.event: each for each in here.register.find(CalendarEntry)}
    assert written(here, out, planned(here, days=TUESDAYS)).cancelled == 0
    after = {each.event: each for each in here.register.find(CalendarEntry)}
    assert after.keys() == before.keys()
    assert {(each.day.weekday(), each.sequence) for each in after.values()} == {(1, 1)}
    assert written(here, out, planned(here, days=TUESDAYS, years=1)).cancelled == len(before) - 2
    cancelled = [
        each for each in Calendar.from_ical(out.read_bytes()).walk("VEVENT") if each.get("STATUS") == "CANCELLED"
    ]
    assert [(str(each["SUMMARY"]), each["SEQUENCE"]) for each in cancelled] == [("No visit to Harbour Row", 2)] * (
        len(before) - 2
    )
    assert written(here, out, planned(here, days=TUESDAYS, years=1)).cancelled == 0
    assert b"CANCELLED" not in out.read_bytes()


def test_what_was_done_stays_and_a_visit_that_was_missed_is_moved(here: WorkedSite, tmp_path: Path) -> None:
    out, diary = tmp_path / "p.ics", Diary()
    kettle = here.kettle()
    here.record(kettle, combined(), here.visit(date(2026, 6, 24)))
    written(here, out, planned(here))
    diary.take_in(out)
    (first, *_) = sorted(diary.shown().items(), key=lambda each: each[1])
    # The first visit is due on 24 December; a week later nobody has been there.
    late = date(2026, 12, 31)
    written(here, out, planned(here, start=late), today=late)
    diary.take_in(out)
    assert first[1] == date(2026, 12, 24)
    assert diary.shown()[first[0]] == late
    here.record(kettle, combined(), here.visit(late))
    after = late + timedelta(days=1)
    trip = planned(here, start=after)
    written(here, out, trip, today=after)
    diary.take_in(out)
    assert sorted(diary.shown().values()) == [late, *days_of(trip)]
    assert diary.shown()[first[0]] == late


def test_a_plan_of_next_year_leaves_what_stands_before_it(here: WorkedSite, tmp_path: Path) -> None:
    out, diary = tmp_path / "p.ics", Diary()
    here.record(here.kettle(), combined(), here.visit(date(2026, 6, 24)))
    written(here, out, planned(here))
    diary.take_in(out)
    before = diary.shown()
    written(here, out, planned(here, start=date(2027, 1, 1)))
    diary.take_in(out)
    assert date(2026, 12, 24) in diary.shown().values()
    assert {key for key, day in before.items() if day.year == 2026} <= diary.shown().keys()


def test_one_to_do_a_site_says_how_much_is_overdue_and_goes_once_nothing_is(here: WorkedSite, tmp_path: Path) -> None:
    out, diary = tmp_path / "p.ics", Diary()
    kettles = [here.kettle() for _ in range(12)]
    for kettle in kettles:
        here.record(kettle, combined(), here.visit(date(2025, 11, 20)))
    assert written(here, out, planned(here)).tasks == 1
    (todo,) = Calendar.from_ical(out.read_bytes()).walk("VTODO")
    assert str(todo["SUMMARY"]) == "Overdue at Harbour Row: 24 inspections of 12 items"
    assert todo.decoded("DUE") == date(2026, 5, 20)
    lines = str(todo["DESCRIPTION"]).splitlines()
    assert lines[0] == "HR-001 Kettle: visual inspection, due 20 May 2026"
    assert lines[-1] == "and 14 more"
    diary.take_in(out)
    for kettle in kettles:
        here.record(kettle, combined(), here.visit(TODAY))
    assert written(here, out, planned(here)).tasks == 0
    diary.take_in(out)
    assert diary.shown("overdue") == {}
    # What was done today stays where it was planned.
    assert sorted(diary.shown().values()) == [TODAY, *days_of(planned(here))]


def test_each_site_of_a_trip_has_events_of_its_own_and_those_of_other_sites_are_left(
    here: WorkedSite, tmp_path: Path
) -> None:
    out, diary = tmp_path / "p.ics", Diary()
    quay = add_site(here.register, WHO, client=here.client.uid, name="Quay [red]", prefix="QY", environment="low-risk")
    hall = add_location(here.register, WHO, site=quay.uid, name="Hall")
    ours, theirs = here.kettle(), here.kettle()
    for kettle in (ours, theirs):
        here.record(kettle, combined(), here.visit(date(2026, 6, 24)))
    move_items(here.register, WHO, appliances=[theirs.uid], location=hall.uid)
    both = planned(here, here.site, quay)
    assert written(here, out, both).visits == 2 * len(both.plan.visits)
    diary.take_in(out)
    titles = {entry[2] for entry in diary.entries.values()}
    assert {title.split(":")[0] for title in titles} == {"Inspect Harbour Row", "Inspect Quay [red]"}
    alone = planned(here, quay, days=TUESDAYS)
    written(here, out, alone)
    diary.take_in(out)
    assert sorted(diary.shown().values()) == sorted([*days_of(both), *days_of(alone)])


def test_a_booked_visit_is_the_same_event_wherever_it_goes_and_says_whether_it_is_confirmed(
    here: WorkedSite, tmp_path: Path
) -> None:
    out = tmp_path / "p.ics"
    booked = BookedVisit(
        uid=here.register.new_uid(),
        site=here.site.uid,
        day=date(2027, 3, 1),
        event="visit-b@appreg.invalid",
        note="=1+1",
    )
    for day, confirmed, status, sequence in (
        (date(2027, 3, 1), False, "TENTATIVE", 0),
        (date(2027, 3, 1), True, "CONFIRMED", 1),
        (date(2028, 9, 5), True, "CONFIRMED", 2),
    ):
        with here.register.change(WHO) as change:
            change.put(
                BookedVisit(
                    uid=booked.uid, site=booked.site, day=day, event=booked.event, note=booked.note, confirmed=confirmed
                )
            )
        written(here, out, planned(here))
        (event,) = Calendar.from_ical(out.read_bytes()).walk("VEVENT")
        assert (str(event["UID"]), event.decoded("DTSTART")) == (booked.event, day)
        assert (str(event["STATUS"]), event["SEQUENCE"]) == (status, sequence)


def test_a_register_that_may_only_be_read_gives_a_calendar_that_is_not_remembered(
    here: WorkedSite, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    here.record(here.kettle(), combined(), here.visit(date(2026, 6, 24)))
    monkeypatch.setattr(file_opening, "_may_write", lambda _path: False)
    with open_register(here.register.path, create=False) as register:
        kept = structs.replace(here, register=register)
        done = written(kept, tmp_path / "p.ics", planned(kept))
        assert register.find(CalendarEntry) == []
    assert "not remembered" in done.words()


def test_nothing_is_remembered_of_a_calendar_that_was_not_written(here: WorkedSite, tmp_path: Path) -> None:
    here.record(here.kettle(), combined(), here.visit(date(2026, 6, 24)))
    with pytest.raises(InputRefused):
        written(here, tmp_path / "no" / "p.ics", planned(here))
    assert here.register.find(CalendarEntry) == []
