"""Tell what stands at one location: the list that hangs there, or that a location's label leads to."""

from datetime import date
from typing import Final

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Location, Site
from appreg.core.records.stated_words import is_only_stated, outcome_words
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.told_tables import CellKind, Row, TableColumn, ToldTable, one_group
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.paper.documents.item_lines import InspectedItem, LastTime
from appreg.paper.documents.item_words import class_words, plate_words
from appreg.paper.documents.list_content import ListDocument
from appreg.register.lists.appliance_lists import appliances_of
from appreg.register.lists.damaged_items import refuse_stray_records
from appreg.register.opening.register_file import Register
from appreg.schedule.due_states import is_item_overdue, waited_dates
from appreg.tasks.documents.chosen_items import location_asked
from appreg.tasks.documents.gather_documents import DocumentGatherer
from appreg.tasks.documents.paper_kinds import Asked
from appreg.tasks.documents.write_walk_round import latest_line
from appreg.tasks.standing.settle_standing import read_standing

_FAILED: Final = "DO NOT USE: failed"
_OVERDUE: Final = "overdue"
_NEVER: Final = "never inspected"
_LOUD: Final = (
    _FAILED,
    _OVERDUE,
    _NEVER,
    *(each.value for each in ServiceState if each is not ServiceState.IN_SERVICE),
)
_COLUMNS: Final = (
    TableColumn(name="tag", head="tag", kind=CellKind.TAG, weight=13),
    TableColumn(name="item", head="item", weight=26),
    TableColumn(name="class", head="class and type", weight=20),
    TableColumn(name="tested", head="last tested", kind=CellKind.DATE, weight=14),
    TableColumn(name="looked_at", head="last looked at", kind=CellKind.DATE, weight=14),
    TableColumn(name="next", head="next inspection", kind=CellKind.DATE, weight=14),
    TableColumn(name="state", head="how it stood", weight=18, loud=_LOUD),
)


def room_document(register: Register, asked: Asked, today: date) -> ListDocument:
    """What stands at a location, by tag; raises InputRefused where none is named, or none of that name is there."""
    refuse_stray_records(register)
    site = register.get(Site, asked.of_site())
    uid = location_asked(register, site.uid, asked.room)
    if uid is None:
        raise InputRefused("Say which location, with --room NAME.", field="room")
    room = register.get(Location, uid)
    dates = load_rule_book(site.rule_book).date_form
    gatherer = DocumentGatherer(register, dates)
    items = [each for each in appliances_of(register, location=uid) if each.state is not ServiceState.DISPOSED]
    rows = [
        _row(latest_line(register, gatherer, item), failed=_has_failed(register, item.uid), today=today)
        for item in items
    ]
    return ListDocument(
        kind="List of a location",
        title=room.name,
        subtitle=", ".join(part for part in (site.name, site.address) if part),
        said=(
            "Look at each item before you use it. What stands here and is not on the list has not been inspected under this register.",
        ),
        tables=(ToldTable(title="Items", columns=_COLUMNS, groups=one_group(rows), none="nothing is entered here"),),
        dates=dates,
        printed=today,
    )


def _has_failed(register: Register, item: Uid) -> bool:
    return read_standing(register, item).failed_on is not None


def _row(line: InspectedItem, *, failed: bool, today: date) -> Row:
    thing = line.appliance
    named = " · ".join(part for part in (thing.name, plate_words(thing)) if part)
    due = min((each for each in waited_dates(thing) if each), default=None)
    return (
        thing.tag,
        named,
        class_words(thing),
        _day(line.last_test),
        _day(line.last_look),
        None if failed else due,
        _stood(line, failed=failed, today=today),
    )


def _day(last: LastTime | None) -> date | None:
    return last.inspection.date if last is not None else None


def _stood(line: InspectedItem, *, failed: bool, today: date) -> str:
    thing = line.appliance
    if failed:
        return _FAILED
    if thing.state is not ServiceState.IN_SERVICE:
        return thing.state.value
    if is_only_stated(thing):
        return outcome_words(thing)
    if line.inspection is None:
        return _NEVER
    if is_item_overdue(thing, today):
        return _OVERDUE
    return f"looked at: {line.inspection.outcome}" if line.only_looked else line.inspection.outcome.value
