"""List visits with the people who made them and what they came to."""

from collections import Counter
from collections.abc import Mapping

from msgspec import Struct

from appreg.core.records.kept_records import Instrument, Person, Site, Visit
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid
from appreg.register.lists.inspection_lists import inspections_of_visit
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.read_on import DAMAGED
from appreg.tasks.inspecting.choose_visit import visits_of
from appreg.tasks.inspecting.record_not_inspected import not_inspected_on


class ListedVisit(Struct, frozen=True, kw_only=True):
    """One visit."""

    visit: Visit
    site: Site
    person: Person
    instrument: Instrument | None
    outcomes: Mapping[Outcome, int]
    """How many items came to each; of an item the inspection that counts."""
    not_inspected: int
    """Items that could not be inspected."""


def list_visits(register: Register, *, site: Uid | None = None) -> tuple[ListedVisit, ...]:
    """The visits to a site, or all, the latest first."""
    sites = {each.uid: each for each in register.find_readable(Site)}
    people = {each.uid: each for each in register.find_readable(Person)}
    tools = {each.uid: each for each in register.find_readable(Instrument)}
    return tuple(
        ListedVisit(
            visit=visit,
            site=sites[visit.site],
            person=people.get(visit.person) or Person(uid=visit.person, name=DAMAGED, initials="?"),
            instrument=tools.get(visit.instrument) if visit.instrument else None,
            outcomes=Counter(each.outcome for each in inspections_of_visit(register, visit.uid)),
            not_inspected=len(not_inspected_on(register, visit.uid)),
        )
        for visit in reversed(visits_of(register, site))
        if visit.site in sites
    )
