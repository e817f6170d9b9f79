"""The days of a site and of a crew, out of what the register keeps of them: a rule less closures."""

from collections.abc import Iterable
from datetime import date

from appreg.core.records.kept_records import Site
from appreg.core.records.planning_records import Crew
from appreg.core.values.dates_in_words import date_words
from appreg.errors import InputRefused
from appreg.schedule.closure_file import read_closures
from appreg.schedule.visiting_days import Closure, visiting_days


def closures_in(lines: Iterable[str], *, field: str) -> tuple[Closure, ...]:
    """The closures that lines say; raises InputRefused beginning with the field where one says none."""
    closures: list[Closure] = []
    for line in lines:
        read = read_closures(line)
        if read.problems or len(read.closures) != 1:
            said = read.problems[0].problem if read.problems else "begin it with a day such as 2026-12-25."
            raise InputRefused(f"{field}: “{line}” is not understood; {said}")
        closures += read.closures
    return tuple(closures)


def line_of(closure: Closure) -> str:
    """A closure as a line of a list of closures, which is how records keep it."""
    ends = f"{closure.first}" if closure.first == closure.last else f"{closure.first}..{closure.last}"
    # What follows # in a list is a remark, and would not be read again.
    return f"{ends} {closure.reason.replace('#', '')}".rstrip()


def days_at(site: Site, start: date, end: date, *, closures: Iterable[Closure] = ()) -> tuple[date, ...]:
    """The days from start to end on which a site lets people in; `closures` are those of everybody, holidays say."""
    own = closures_in(site.closures, field=f"closures of {site.name}")
    return visiting_days(start, end, rule=site.access_days, closures=(*own, *closures), anchor=site.access_from)


def preferred_at(site: Site, days: Iterable[date]) -> tuple[date, ...]:
    """Those of some days on which a visit suits the site best; none where it prefers none."""
    spans = closures_in(site.preferred, field=f"preferred days of {site.name}")
    return tuple(day for day in days if any(span.first <= day <= span.last for span in spans))


def days_of_crew(crew: Crew, start: date, end: date, *, closures: Iterable[Closure] = ()) -> tuple[date, ...]:
    """The days from start to end on which a crew works."""
    absent = closures_in(crew.absent, field=f"absent days of {crew.name}")
    return visiting_days(start, end, rule=crew.days, closures=(*absent, *closures), anchor=crew.days_from)


def refuse_closed(site: Site, day: date, crew: Crew | None = None) -> None:
    """Raise InputRefused, naming the reason, where a site is closed or a crew away on a day."""
    for named, lines in ((site.name, site.closures), (crew.name if crew else "", crew.absent if crew else ())):
        for shut in closures_in(lines, field=named):
            if shut.first <= day <= shut.last:
                away = "is not there" if crew is not None and lines is crew.absent else "is closed"
                because = f" ({shut.reason})" if shut.reason else ""
                raise InputRefused(f"{named} {away} on {date_words(day)}{because}; choose another day.", field="day")
