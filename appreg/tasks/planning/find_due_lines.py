"""What a line of what is due is found by: its item, and the day of the line in place of the item's dates."""

from collections.abc import Mapping

from appreg.core.records.kept_records import Category
from appreg.core.records.searched_rows import SearchedRow
from appreg.core.values.uids import Uid
from appreg.schedule.searched_items import searched_item
from appreg.tasks.standing.due_lines import DueLine


def searched_line(categories: Mapping[Uid, Category], line: DueLine) -> SearchedRow:
    """The texts and the standing of a line's item; categories that cannot be read are left out."""
    item = line.appliance
    return searched_item(
        item,
        site=line.site,
        location=line.location,
        category=categories.get(item.category) if item.category else None,
        due=(line.due,),
    )
