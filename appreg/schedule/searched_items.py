"""What an item is found by, whichever list it stands in."""

from collections.abc import Sequence
from datetime import date

from appreg.core.records.kept_records import Appliance, Category, Location, Site
from appreg.core.records.list_queries import NEVER
from appreg.core.records.searched_rows import ItemStanding, SearchedRow
from appreg.core.records.stated_words import BY_ANOTHER
from appreg.schedule.due_states import waited_dates


def searched_item(
    item: Appliance,
    *,
    site: Site,
    location: Location,
    category: Category | None,
    due: Sequence[date | None] | None = None,
    more: dict[str, tuple[str, ...]] | None = None,
) -> SearchedRow:
    """The texts and the standing of an item; `due`: dates in place of its own, `more`: texts that only this list has.

    Its own dates hold while it is in service, others whatever its state: a repair is waited for while it is withdrawn.
    """
    dates = [day for day in (due if due is not None else waited_dates(item)) if day is not None]
    unknown = NEVER if item.last_date is None else BY_ANOTHER
    outcome = item.last_outcome.value if item.last_outcome else unknown
    texts = {
        "tag": (item.tag,),
        "name": (item.name,),
        "make": (item.make,),
        "model": (item.model,),
        "serial": (item.serial,),
        "site": (site.name, site.prefix),
        "location": (location.name,),
        "category": () if category is None else (category.name, category.code),
        "state": (item.state.value,),
        "outcome": (outcome,),
        **(more or {}),
    }
    standing = ItemStanding(
        state=item.state.value,
        outcome=outcome,
        inspected=item.last_date is not None,
        appliance_class=item.appliance_class.value,
        equipment_type=item.equipment_type.value,
        due=min(dates, default=None),
    )
    return SearchedRow(texts=texts, item=standing)
