"""Check what sites and crews say of days, minutes and ways before it is kept."""

from collections.abc import Iterable
from datetime import date
from typing import Final

from appreg.core.records.kept_records import Site
from appreg.core.records.planning_records import Crew, DistrictTravel
from appreg.core.values.text import LONGEST, clean
from appreg.errors import InputRefused, asked_for
from appreg.register.opening.register_file import Register
from appreg.schedule.kept_days import closures_in
from appreg.schedule.visiting_days import visiting_days

_DAY_MINUTES: Final = 24 * 60
_MOST_PEOPLE: Final = 99
_MOST_SPANS: Final = 400
_SOME_DAY: Final = date(2026, 1, 1)
"""A rule is tried from here on; whether it is one does not depend on the day."""


def check_site_days(site: Site) -> None:
    """Raise InputRefused, naming the field, where a site's days or minutes cannot be used."""
    _check_rule(site.access_days, "access_days")
    _check_spans(site.closures, "closures", "closures")
    _check_spans(site.preferred, "preferred", "preferred days")
    _check_minutes(site.set_up_minutes, "set_up_minutes", "set-up minutes", least=0)
    _check_minutes(site.travel_minutes, "travel_minutes", "travel minutes", least=0)


def check_crew(register: Register, crew: Crew) -> None:
    """Raise InputRefused where a crew cannot work so, or another has its name."""
    for other in register.find(Crew):
        if other.uid != crew.uid and other.name.casefold() == crew.name.casefold():
            raise InputRefused(f"crew name: there is a crew {other.name} already; choose another.", field="name")
    if not 1 <= crew.people <= _MOST_PEOPLE:
        raise InputRefused(f"crew people: {crew.people} cannot be right; give 1 to {_MOST_PEOPLE}.", field="people")
    _check_minutes(crew.minutes_a_day, "minutes_a_day", "minutes a day", least=1)
    _check_rule(crew.days, "days")
    _check_spans(crew.absent, "absent", "absent days")


def check_way(register: Register, way: DistrictTravel) -> None:
    """Raise InputRefused where a way is none, or is kept already, whichever end comes first."""
    for name in ("district", "other"):
        if not getattr(way, name):
            raise InputRefused(f"{name}: nothing is typed; name both districts.", field=name)
    ends = {way.district.casefold(), way.other.casefold()}
    for kept in register.find(DistrictTravel):
        if kept.uid != way.uid and {kept.district.casefold(), kept.other.casefold()} == ends:
            raise InputRefused(
                f"The way between {kept.district} and {kept.other} is kept already; change that one.", field="other"
            )
    _check_minutes(way.minutes, "minutes", "minutes", least=0)


def _check_rule(rule: str, field: str) -> None:
    with asked_for(field):
        visiting_days(_SOME_DAY, _SOME_DAY, rule=rule)


def _check_spans(lines: Iterable[str], field: str, named: str) -> None:
    spans = tuple(lines)
    with asked_for(field):
        if len(spans) > _MOST_SPANS:
            raise InputRefused(f"{named}: {len(spans)} are too many; keep them to {_MOST_SPANS}.")
        for line in spans:
            clean(line, field=named, longest=LONGEST)
        closures_in(spans, field=named)


def _check_minutes(minutes: int, field: str, named: str, *, least: int) -> None:
    if not least <= minutes <= _DAY_MINUTES:
        raise InputRefused(f"{named}: {minutes} cannot be right; give {least} to {_DAY_MINUTES}.", field=field)
