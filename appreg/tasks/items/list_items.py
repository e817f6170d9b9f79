"""List items: at one site or at all, in one state, answering to words."""

from collections.abc import Callable
from datetime import date
from functools import partial
from typing import Final

from appreg.core.records.appliances import ServiceState
from appreg.core.records.item_states import ItemState
from appreg.core.records.kept_records import Appliance
from appreg.core.records.list_queries import parse_query
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid
from appreg.register.lists.appliance_lists import appliances_of
from appreg.register.lists.search import search
from appreg.register.opening.register_file import Register
from appreg.schedule.due_states import DueState, due_state, is_item_overdue, waited_dates
from appreg.tasks.desk.find_rules import RuleFinder
from appreg.tasks.desk.read_on import note_damaged_items, read_on
from appreg.tasks.items.find_items import FoundItem

_ALL: Final = 1_000_000_000


_SERVICE: Final = {
    ItemState.IN_SERVICE: ServiceState.IN_SERVICE,
    ItemState.WITHDRAWN: ServiceState.WITHDRAWN,
    ItemState.MISSING: ServiceState.MISSING,
    ItemState.DISPOSED: ServiceState.DISPOSED,
}


def list_items(
    register: Register,
    *,
    today: date,
    within_days: int = 30,
    site: Uid | None = None,
    state: ItemState | None = None,
    text: str = "",
) -> tuple[FoundItem, ...]:
    """The items by tag; those that answer to the text, where there is one.

    Overdue, due soon and never inspected are counted among items in service, as the list of sites counts them.
    """
    query = parse_query(text, today=today, within_days=within_days)
    note_damaged_items(register, site=site, quick=True)
    items = search(register, query, limit=_ALL, site=site) if query else appliances_of(register, site, readable=True)
    stands = _test(state, today, within_days)
    rules = RuleFinder(register)
    found = (read_on(register, item.tag, partial(_found, rules, item)) for item in items if stands(item))
    return tuple(each for each in found if each is not None)


def _found(rules: RuleFinder, item: Appliance) -> FoundItem:
    return FoundItem(appliance=item, site=rules.site(item.site), location=rules.location(item.location))


def _test(state: ItemState | None, today: date, within_days: int) -> Callable[[Appliance], bool]:
    if state is None:
        return lambda _: True
    if state in _SERVICE:
        return lambda item: item.state is _SERVICE[state]
    if state is ItemState.FAILED:
        return lambda item: item.last_outcome is Outcome.FAIL and item.state in _AT_HAND
    if state is ItemState.NEVER:
        return lambda item: item.state is ServiceState.IN_SERVICE and item.last_date is None
    if state is ItemState.OVERDUE:
        return lambda item: is_item_overdue(item, today)
    return lambda item: _is_due_soon(item, today, within_days)


def _is_due_soon(item: Appliance, today: date, within_days: int) -> bool:
    """Tell whether an item in service has nothing overdue and a date within so many days."""
    if is_item_overdue(item, today):
        return False
    states = {due_state(day, inspected=True, today=today, within_days=within_days) for day in waited_dates(item)}
    return DueState.DUE_SOON in states


_AT_HAND: Final = frozenset({ServiceState.IN_SERVICE, ServiceState.WITHDRAWN})
"""Of these a failure waits to be put right; what is missing or gone waits for nothing."""
