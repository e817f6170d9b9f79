"""What a list says of the site that it is of, or of all sites, and of the places that its rows belong to."""

from collections.abc import Callable, Iterable
from itertools import groupby
from typing import Final, TypeVar

from appreg.core.records.kept_records import Appliance, Site
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.counted_words import counted
from appreg.core.values.dates_in_words import DateForm
from appreg.core.values.told_tables import Row, TableColumn, TableGroup
from appreg.core.values.uids import Uid
from appreg.register.lists.appliance_lists import site_keys
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.find_rules import RuleFinder

T = TypeVar("T")
PLACE: Final = TableColumn(name="place", head="place")
"""What rows are grouped by: the room, before it the site where there are several."""


def title_of(register: Register, site: Uid | None) -> str:
    """The site's name, or how many sites there are."""
    return register.get(Site, site).name if site else counted(len(site_keys(register)), "site")


def date_form_of(register: Register, site: Uid | None) -> DateForm:
    """How dates are written in the country of the site's rule book; in words where sites are of several."""
    return load_rule_book(register.get(Site, site).rule_book).date_form if site else DateForm.WORDS


def place_of(rules: RuleFinder, item: Appliance, *, one_site: bool) -> str:
    """The room of an item as a group is headed."""
    room = rules.location(item.location).name
    return room if one_site else f"{rules.site(item.site).name} · {room}"


def by_place(things: Iterable[T], place: Callable[[T], str], row: Callable[[T], Row]) -> tuple[TableGroup, ...]:
    """The rows in groups, by place as it is called; within a place in the order in which they come."""

    def called(thing: T) -> tuple[str, str]:
        return place(thing).casefold(), place(thing)

    ordered = sorted(things, key=called)
    return tuple(
        TableGroup(head=head, rows=tuple(row(each) for each in own)) for head, own in groupby(ordered, key=place)
    )
