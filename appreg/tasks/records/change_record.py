"""Change a record, or many items at once: the same validation for every kind."""

from collections.abc import Callable, Collection, Sequence
from typing import TYPE_CHECKING, TypeVar

from msgspec.structs import replace

from appreg.core.records.appliances import Fact
from appreg.core.records.job_records import Firm, Job
from appreg.core.records.kept_records import Appliance, Category, Client, Instrument, Location, Person, Site, Visit
from appreg.core.records.planning_records import Crew, DistrictTravel
from appreg.core.records.provenance import after_change, assumed_of, assuming, measuring
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.progress import Progress, tell
from appreg.register.history.journal import End
from appreg.register.lists.appliance_lists import appliances_of
from appreg.register.lists.inspection_lists import inspections_of_visit
from appreg.register.opening.register_file import Register
from appreg.schedule.interval_choice import interval_table
from appreg.tasks.desk.find_rules import RuleFinder
from appreg.tasks.records.check_record import checked
from appreg.tasks.records.merge_changes import merged, refuse_changed_since
from appreg.tasks.standing.settle_standing import read_standing, settle_items, settled

if TYPE_CHECKING:
    from appreg.register.journal.changes import Change

Changeable = TypeVar(
    "Changeable",
    Appliance,
    Category,
    Client,
    Crew,
    DistrictTravel,
    Firm,
    Instrument,
    Job,
    Location,
    Person,
    Site,
    Visit,
)


def change_record(
    register: Register,
    who: str,
    record: Changeable,
    *,
    opened: Changeable | None = None,
    measured: Collection[Fact] = (),
) -> Changeable:
    """Keep a record as it now is; raises InputRefused where a field cannot be accepted.

    With `opened`, the record as it stood when the change was begun, only fields that differ from it are written;
    raises ChangedMeanwhile where another desk changed one of them since.
    Next dates follow in the same transaction where class, place, environment or table change.
    `measured` are the facts of an item that were measured just now; of others a changed one is read.
    State and latest result are not changed here: set_service_state and record_inspection do that.
    """
    with register.change(who) as change:
        kept = checked(register, record if opened is None else merged(register, opened, record))
        if isinstance(kept, Appliance):
            kept = _with_own_results(register, kept, measured)
        if isinstance(kept, Category):
            _keep_what_is_assumed(register, change, kept)
        if isinstance(kept, Visit):
            _refuse_moved_visit(register, kept)
        if isinstance(kept, Site):
            _refuse_orphaned_environments(register, kept)
        change.put(kept)
        if isinstance(kept, Site):
            settle_items(register, change, appliances_of(register, site=kept.uid))
        if isinstance(kept, Location):
            settle_items(register, change, appliances_of(register, location=kept.uid))
    return kept


def _with_own_results(register: Register, item: Appliance, measured: Collection[Fact]) -> Appliance:
    before = register.get(Appliance, item.uid)
    item = after_change(before, item, register.get(Category, before.category) if before.category else None)
    item = measuring(item, measured) if measured else item
    standing = read_standing(register, item.uid)
    return settled(replace(item, state=before.state), standing, RuleFinder(register).of(item))


def _keep_what_is_assumed(register: Register, change: "Change", category: Category) -> None:
    """Items whose assumed facts are told by the category keep them when its defaults change."""
    before = register.get(Category, category.uid)
    for item in register.find(Appliance, category=category.uid, assumed=None) if before != category else ():
        change.put(assuming(item, assumed_of(item, before)))


def _refuse_moved_visit(register: Register, visit: Visit) -> None:
    before = register.get(Visit, visit.uid)
    same = (before.site, before.date, before.person, before.instrument)
    if same != (visit.site, visit.date, visit.person, visit.instrument) and inspections_of_visit(register, visit.uid):
        raise InputRefused(
            f"visit of {date_words(before.date)}: inspections are recorded on it, so its site, date, person and "
            "instrument stay; start another visit."
        )


def _refuse_orphaned_environments(register: Register, site: Site) -> None:
    """Another table may lack the environments that the site's locations name."""
    known = interval_table(load_rule_book(site.rule_book), site.interval_table).environments
    for location in register.find(Location, site=site.uid):
        if location.environment and location.environment not in known:
            raise InputRefused(
                f"site {site.name}: its location “{location.name}” has the environment “{location.environment}”, "
                "which that interval table does not know; change the location first."
            )


def move_items(
    register: Register,
    who: str,
    *,
    appliances: Sequence[Uid],
    location: Uid,
    since: End | None = None,
    progress: Progress | None = None,
) -> int:
    """Move items to a location, which may be at another site; their next dates follow the rules there.

    `since` is the end of the journal when the items were chosen; raises ChangedMeanwhile where one was moved after it.
    """
    place = register.get(Location, location)
    with register.change(who):
        refuse_changed_since(register, since, appliances, "location")
        return _changed(
            register, who, appliances, lambda item: replace(item, site=place.site, location=location), progress
        )


def set_category(
    register: Register,
    who: str,
    *,
    appliances: Sequence[Uid],
    category: Uid | None,
    since: End | None = None,
    progress: Progress | None = None,
) -> int:
    """Set the category of items, or none; what their plates say stays as it is. `since` as in move_items."""
    with register.change(who):
        refuse_changed_since(register, since, appliances, "category")
        return _changed(register, who, appliances, lambda item: replace(item, category=category), progress)


def _changed(
    register: Register,
    who: str,
    appliances: Sequence[Uid],
    change: Callable[[Appliance], Appliance],
    progress: Progress | None,
) -> int:
    with register.change(who):
        for done, uid in enumerate(appliances):
            whole = len(appliances)
            tell(progress, done, whole, f"Stopped after {done} of {whole} items; nothing was changed.")
            change_record(register, who, change(register.get(Appliance, uid)))
    return len(appliances)
