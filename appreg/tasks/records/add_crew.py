"""Add a crew that goes out, or the time of the way between two districts."""

from datetime import date

from appreg.core.records.planning_records import Crew, DistrictTravel
from appreg.register.opening.register_file import Register
from appreg.tasks.records.check_record import checked


def add_crew(
    register: Register,
    who: str,
    *,
    name: str,
    people: int = 1,
    minutes_a_day: int = 420,
    days: str = "",
    days_from: date | None = None,
    absent: tuple[str, ...] = (),
    base: str = "",
    notes: str = "",
) -> Crew:
    """Add a crew; raises InputRefused where another has its name, or its days or minutes cannot be used."""
    with register.change(who) as change:
        crew = Crew(
            uid=change.new_uid(),
            name=name,
            people=people,
            minutes_a_day=minutes_a_day,
            days=days,
            days_from=days_from,
            absent=absent,
            base=base,
            notes=notes,
        )
        crew = checked(register, crew)
        change.put(crew)
    return crew


def add_way(register: Register, who: str, *, district: str, other: str, minutes: int) -> DistrictTravel:
    """Add how long it takes between two districts, either way; raises InputRefused where that is kept already."""
    with register.change(who) as change:
        way = checked(register, DistrictTravel(uid=change.new_uid(), district=district, other=other, minutes=minutes))
        change.put(way)
    return way
