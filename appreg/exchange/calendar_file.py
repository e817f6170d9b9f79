"""A calendar that other programs import or subscribe to (iCalendar, RFC 5545): visits and overdue items."""

from collections.abc import Iterable
from datetime import UTC, date, datetime, timedelta
from enum import StrEnum
from typing import TYPE_CHECKING, Any, Final

from msgspec import Struct

from appreg.core.values.text import shown

if TYPE_CHECKING:
    from icalendar import Component

_PRODUCT: Final = "-//appreg//visits and retests//EN"
_REFRESH: Final = timedelta(days=1)
_PRESSING: Final = 1
"""The highest priority of RFC 5545, 3.8.1.9."""


class VisitStatus(StrEnum):
    """How sure a visit is, in the words of RFC 5545, 3.8.1.11."""

    PLANNED = ""
    TENTATIVE = "TENTATIVE"
    CONFIRMED = "CONFIRMED"
    CANCELLED = "CANCELLED"


class CalendarVisit(Struct, frozen=True, kw_only=True):
    """A whole day on which a site is visited."""

    uid: str
    """The same whenever the calendar is written, so that a calendar program updates the event."""
    day: date
    title: str
    details: str
    """Lines, say one an item."""
    place: str
    sequence: int = 0
    """Rises with each change, so that calendar programs take the later one."""
    status: VisitStatus = VisitStatus.PLANNED


class CalendarTask(Struct, frozen=True, kw_only=True):
    """Something that should have been done by a day."""

    uid: str
    due: date
    title: str
    details: str
    place: str
    sequence: int = 0
    cancelled: bool = False
    """Nothing is left to do."""


def calendar_bytes(
    visits: Iterable[CalendarVisit], tasks: Iterable[CalendarTask], *, name: str, written: datetime
) -> bytes:
    """The calendar as a file's content; `written` is stamped on every entry and must know its time zone."""
    from icalendar import Calendar, Event, Todo  # noqa: PLC0415 - costs more than other commands should pay

    calendar = Calendar()
    calendar.add("prodid", _PRODUCT)
    calendar.add("version", "2.0")
    # RFC 7986: the calendar's name, and how often a subscriber should look again.
    calendar.add("name", shown(name))
    calendar.add("refresh-interval", _REFRESH, parameters={"VALUE": "DURATION"})
    stamp = written.astimezone(UTC).replace(microsecond=0)
    for visit in visits:
        event = _entry(Event(), visit, stamp)
        event.add("dtstart", visit.day)
        event.add("dtend", visit.day + timedelta(days=1))
        event.add("transp", "TRANSPARENT")
        if visit.status:
            event.add("status", visit.status.value)
        calendar.add_component(event)
    for task in tasks:
        todo = _entry(Todo(), task, stamp)
        todo.add("due", task.due)
        todo.add("status", "CANCELLED" if task.cancelled else "NEEDS-ACTION")
        todo.add("priority", _PRESSING)
        calendar.add_component(todo)
    content: bytes = calendar.to_ical()
    return content


def _entry(entry: "Component", said: CalendarVisit | CalendarTask, stamp: datetime) -> Any:
    entry.add("uid", said.uid)
    entry.add("dtstamp", stamp)
    entry.add("last-modified", stamp)
    entry.add("sequence", said.sequence)
    entry.add("summary", shown(said.title))
    if said.details:
        entry.add("description", "\n".join(shown(line) for line in said.details.splitlines()))
    if said.place:
        entry.add("location", shown(said.place))
    return entry
