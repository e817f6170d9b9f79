"""Find among what is due: a line goes by its item, and by its own day in place of the item's dates."""

from collections.abc import Mapping, Sequence
from functools import partial

from msgspec.structs import replace

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Category
from appreg.core.records.list_queries import ListQuery
from appreg.core.records.searched_rows import SearchedRow, answering
from appreg.core.values.uids import Uid
from appreg.register.lists.appliance_lists import seats_taken
from appreg.register.lists.search import search
from appreg.register.opening.register_file import Register
from appreg.schedule.due_states import DueState
from appreg.schedule.searched_items import searched_item
from appreg.tasks.items.list_blocked import BlockedLine
from appreg.tasks.items.list_user_checks import UserCheckLine
from appreg.tasks.planning.list_due import DueBoard, DueCounts
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


def board_answering(register: Register, board: DueBoard, query: ListQuery, *, site: Uid | None = None) -> DueBoard:
    """A board with the lines and repairs that answer a query, counted anew; `site`: the one it was made of."""
    categories = {each.uid: each for each in register.find_readable(Category)}
    searched = partial(searched_line, categories)
    lines = tuple(answering(board.lines, query, searched))
    late = [line.appliance.uid for line in lines if line.state is DueState.OVERDUE]
    soon = [line.appliance.uid for line in lines if line.state is DueState.DUE_SOON]
    found = search(register, query, limit=seats_taken(register), site=site)
    counts = DueCounts(
        overdue=len(late),
        due_soon=len(soon),
        overdue_items=len({*late}),
        due_soon_items=len({*soon} - {*late}),
        never=sum(line.state is DueState.NEVER for line in lines),
        withdrawn=sum(item.state is ServiceState.WITHDRAWN for item in found),
    )
    return replace(board, counts=counts, lines=lines, repairs=tuple(answering(board.repairs, query, searched)))


def blocked_answering(register: Register, lines: Sequence[BlockedLine], query: ListQuery) -> tuple[BlockedLine, ...]:
    """The blocked items that answer a query."""
    categories = {each.uid: each for each in register.find_readable(Category)}

    def searched(line: BlockedLine) -> SearchedRow:
        item = line.appliance
        category = categories.get(item.category) if item.category else None
        return searched_item(item, site=line.site, location=line.location, category=category)

    return tuple(answering(lines, query, searched))


def checks_answering(lines: Sequence[UserCheckLine], query: ListQuery) -> tuple[UserCheckLine, ...]:
    """The user checks at places that answer a query; where it asks for more than a place, no line can tell."""
    return tuple(
        answering(
            lines,
            query,
            lambda line: SearchedRow(
                texts={"site": (line.site.name, line.site.prefix), "location": (line.location.name,)}
            ),
        )
    )
