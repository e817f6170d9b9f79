"""Open one item on the bench: what it is, what it needs, and what was found before."""

from collections.abc import Mapping, Sequence
from datetime import date
from functools import partial
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from appreg.core.records.appliances import ServiceState
from appreg.core.records.category_defaults import filled
from appreg.core.records.checks import Check
from appreg.core.records.kept_records import (
    Appliance,
    Category,
    FindingRecord,
    Inspection,
    InspectionKind,
    Instrument,
    Location,
    Person,
    Site,
    StatedInspection,
    Visit,
)
from appreg.core.records.work_records import NotInspected
from appreg.core.rules.check_rules import CheckRules
from appreg.core.rules.interval_tables import IntervalAnswer, LandlordProfile
from appreg.core.rules.item_facts import facts_of
from appreg.core.rules.visual_list import VisualLine, kind_lines, lines_for
from appreg.core.values.outcomes import Outcome
from appreg.core.values.periods import Period
from appreg.core.values.uids import Uid
from appreg.register.lists.appliance_lists import appliances_of
from appreg.register.lists.inspection_lists import (
    SavedInspections,
    findings_of,
    inspections_of_visit,
    is_withdrawn,
    saved_inspections,
)
from appreg.register.opening.register_file import Register
from appreg.schedule.due_dates import NextDates, next_dates
from appreg.tasks.desk.find_rules import rules_of
from appreg.tasks.desk.read_on import DAMAGED, note_damaged_items, read_on
from appreg.tasks.inspecting.ask_for_what_was_begun import failed_before
from appreg.tasks.inspecting.record_not_inspected import not_inspected_on
from appreg.tasks.standing.settle_standing import standing_among, standing_places

_ON_THE_BENCH: Final = (ServiceState.IN_SERVICE, ServiceState.WITHDRAWN)


class PastInspection(Struct, frozen=True, kw_only=True):
    """An earlier inspection with all that belongs to it."""

    inspection: Inspection
    findings: tuple[FindingRecord, ...]
    person: Person
    instrument: Instrument | None
    superseded: bool
    """A later correction stands in its place."""
    taken_back: bool
    """It was undone and counts for nothing."""


class BenchItem(Struct, frozen=True, kw_only=True):
    """One item as the bench shows it."""

    appliance: Appliance
    site: Site
    location: Location
    category: Category | None
    environment: str
    """Id of the environment that holds: the location's, else the site's."""
    answer: IntervalAnswer
    profile: LandlordProfile | None
    """The statutory duty at this site, if any."""
    test_max: Period | None
    """The statutory longest interval between tests, where one counts."""
    rules: CheckRules
    """What the rule book says of it: worked out once, while it is on the bench."""
    to_repeat: Mapping[Check, int]
    """The checks that failed before and that a pass takes again."""
    visual_lines: tuple[VisualLine, ...]
    """What to look at, by category or type."""
    history: tuple[PastInspection, ...]
    """Newest first."""
    tested_on: date | None
    """The day of the last passed combined inspection and test."""
    seen_on: date | None
    """The day of the first inspection that counts."""
    stated: StatedInspection | None = None
    """The latest that another states of it without readings: the failure that stands, where one does."""
    stated_failure: StatedInspection | None = None
    """The failure that another states and that no whole test has ended."""
    today: date

    def dates_if_passed(self, kind: InspectionKind) -> NextDates:
        """The next dates if the item passed such an inspection today."""
        item = self.appliance
        return next_dates(
            self.answer,
            inspected=self.today,
            tested=self.today if kind is InspectionKind.COMBINED else self.tested_on,
            longer=bool(item.longer_interval_reason),
            test_max=self.test_max,
            seen=self.seen_on,
        )


class Recorded(Struct, frozen=True):
    """Of an inspection what the way through a visit asks for: a visit of thousands holds one for each."""

    uid: Uid
    kind: InspectionKind
    outcome: Outcome


class VisitItem(Struct, frozen=True, kw_only=True):
    """One item to be seen on a visit."""

    appliance: Appliance
    location: Location
    inspection: Recorded | None
    """What was recorded of it on this visit; None: still to do."""
    saved: int = -1
    """How many of the visit's inspections were saved before it; -1 where there is none."""
    not_inspected: str = ""
    """Why it could not be inspected on this visit, in words; empty: nobody said so."""


def open_bench(register: Register, appliance_uid: Uid, *, today: date, visit: Uid | None = None) -> BenchItem:
    """Gather all that the bench shows of one item, on a visit; raises NotFound."""
    item = register.get(Appliance, appliance_uid)
    rules = rules_of(register, item)
    category = register.get(Category, item.category) if item.category else None
    facts = facts_of(item, category)
    if visit is not None:
        facts = replace(facts, additional_protection=register.get(Visit, visit).additional_protection)
    known = saved_inspections(register, item.uid)
    standing = standing_among(known)
    return BenchItem(
        appliance=item,
        site=rules.site,
        location=rules.location,
        category=category,
        environment=rules.environment,
        answer=rules.answer,
        profile=rules.profile,
        test_max=rules.test_max,
        rules=CheckRules(facts, rules.book),
        to_repeat=failed_before(register, standing.failure, facts, rules.book),
        visual_lines=(
            *lines_for(facts, rules.book, filled(category).visual_items if category else ()),
            *kind_lines(facts),
        ),
        history=_history(register, known),
        tested_on=standing.tested_on,
        seen_on=standing.seen_on,
        stated=standing.stated_failure or standing.stated_last,
        stated_failure=standing.stated_failure,
        today=today,
    )


def history_of_item(register: Register, appliance: Uid) -> tuple[PastInspection, ...]:
    """All inspections of an item that can be read, newest first, corrections and what they replace alike."""
    return _history(register, saved_inspections(register, appliance, readable=True))


def _history(register: Register, known: SavedInspections) -> tuple[PastInspection, ...]:
    counting = {each.uid for each in known.counting}
    taken_back = {each.uid for each in known.saved if each.uid not in counting and is_withdrawn(register, each.uid)}
    return tuple(
        PastInspection(
            inspection=each,
            findings=tuple(findings_of(register, each.uid, readable=True)),
            person=read_on(register, "An inspection", partial(register.get, Person, each.person))
            or Person(uid=each.person, name=DAMAGED, initials="?"),
            instrument=_instrument(register, each.instrument) if each.instrument else None,
            superseded=each.uid not in counting and each.uid not in taken_back,
            taken_back=each.uid in taken_back,
        )
        for each in known.newest_first
    )


def _instrument(register: Register, uid: Uid) -> Instrument:
    found = read_on(register, "An inspection", partial(register.get, Instrument, uid))
    return found or Instrument(uid=uid, name=DAMAGED, serial="?")


def items_for_visit(register: Register, visit_uid: Uid) -> list[VisitItem]:
    """The items of the visit's site that may be on the bench, room by room as one walks.

    A room comes where its first tag stands, since tags are given on the way round; within it items go by tag.
    """
    visit = register.get(Visit, visit_uid)
    note_damaged_items(register, site=visit.site)
    done, saved = _done_on(register, visit_uid)
    left = {each.appliance: each.because.value for each in not_inspected_on(register, visit_uid)}
    locations = {each.uid: each for each in register.find_readable(Location, site=visit.site)}
    items = appliances_of(register, site=visit.site, states=_ON_THE_BENCH, readable=True)
    return [
        VisitItem(
            appliance=item,
            location=locations.get(item.location) or Location(uid=item.location, site=visit.site, name=DAMAGED),
            inspection=(found := _recorded(done.get(item.uid))),
            saved=saved[found.uid] if found else -1,
            not_inspected=left.get(item.uid, ""),
        )
        for item in _by_room(items)
    ]


def _by_room(items: Sequence[Appliance]) -> list[Appliance]:
    rooms: dict[Uid, list[Appliance]] = {}
    for item in items:
        rooms.setdefault(item.location, []).append(item)
    return [item for room in rooms.values() for item in room]


def is_for_visit(register: Register, visit_uid: Uid, appliance: Uid) -> bool:
    """Tell whether an item is one of the items of a visit by now."""
    return _on_the_bench(register, register.get(Visit, visit_uid), appliance) is not None


def _on_the_bench(register: Register, visit: Visit, appliance: Uid) -> Appliance | None:
    found = register.find_readable(Appliance, uid=appliance)
    return next((item for item in found if item.site == visit.site and item.state in _ON_THE_BENCH), None)


def item_of_visit(register: Register, visit_uid: Uid, before: VisitItem, *, next_saved: int) -> VisitItem | None:
    """One item of a visit as it is now, read alone; None where it is no longer one of them.

    `next_saved` is the number that its inspection gets where that is another than before.
    """
    item = _on_the_bench(register, register.get(Visit, visit_uid), before.appliance.uid)
    if item is None:
        return None
    known = saved_inspections(register, item.uid)
    places = standing_places(known.saved)
    counting = [each for each in known.counting if each.visit == visit_uid]
    done = max(counting, key=lambda each: places[each.uid], default=None)
    left = [] if done else register.find(NotInspected, visit=visit_uid, appliance=item.uid)
    is_same = done is not None and before.inspection is not None and done.uid == before.inspection.uid
    moved = item.location != before.location.uid
    return VisitItem(
        appliance=item,
        location=register.get(Location, item.location) if moved else before.location,
        inspection=_recorded(done),
        saved=-1 if done is None else before.saved if is_same else next_saved,
        not_inspected=left[0].because.value if left else "",
    )


def _recorded(inspection: Inspection | None) -> Recorded | None:
    return Recorded(inspection.uid, inspection.kind, inspection.outcome) if inspection is not None else None


def _done_on(register: Register, visit: Uid) -> tuple[dict[Uid, Inspection], dict[Uid, int]]:
    """What stands of each item on a visit, and in which order all of it was saved."""
    saved = inspections_of_visit(register, visit, effective=False)
    places = standing_places(saved)
    counting = inspections_of_visit(register, visit)
    done = {each.appliance: each for each in sorted(counting, key=lambda each: places[each.uid])}
    return done, {each.uid: number for number, each in enumerate(saved)}
