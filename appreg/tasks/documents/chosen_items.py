"""Which items of a site a sheet is about: all, those of a room, or some by their keys; in the order of the way round."""

from collections.abc import Collection
from typing import Final

from msgspec import Struct

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance, Location
from appreg.core.values.places_and_tags import TagRanges
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused, asked_for
from appreg.register.lists.appliance_lists import appliances_of
from appreg.register.opening.register_file import Register
from appreg.tasks.documents.paper_kinds import Asked

_NAMED: Final = 8
"""Locations that a refusal names."""


class ItemChoice(Struct, frozen=True, kw_only=True):
    """Items of one site; whatever is not said leaves all of them."""

    site: Uid
    location: Uid | None = None
    items: tuple[Uid, ...] = ()
    """Those alone; empty: all."""


def chosen_items(
    register: Register, choice: ItemChoice, *, states: Collection[ServiceState] | None = None
) -> list[Appliance]:
    """The items, room by room; a room comes where its first tag stands, since tags are given on the way round.

    Raises InputRefused where an item that is named is not among them.
    """
    found = appliances_of(register, site=choice.site, location=choice.location, states=states)
    named = set(choice.items)
    if named:
        found = [each for each in found if each.uid in named]
        _refuse_others(register, named - {each.uid for each in found}, states)
    rooms: dict[Uid, list[Appliance]] = {}
    for item in found:
        rooms.setdefault(item.location, []).append(item)
    return [item for room in rooms.values() for item in room]


def _refuse_others(register: Register, others: Collection[Uid], states: Collection[ServiceState] | None) -> None:
    if not others:
        return
    item = register.get(Appliance, min(others))
    if states is not None and item.state not in states:
        wanted = " or ".join(each.value for each in states)
        raise InputRefused(f"{item.tag} is {item.state}; such a sheet is of items that are {wanted}, leave it out.")
    raise InputRefused(f"{item.tag} is not at that place; leave it out, or choose its own site.")


def choice_asked(register: Register, asked: Asked) -> ItemChoice:
    """The items of what a person asked for: of a site, one of its locations, or an item with further ones of its site.

    Raises InputRefused where a location or a tag is not to be found there.
    """
    if asked.item is None:
        site = asked.of_site()
        return ItemChoice(site=site, location=location_asked(register, site, asked.room))
    item = register.get(Appliance, asked.item)
    return ItemChoice(site=item.site, items=(item.uid, *asked.further, *_further(register, item, asked.also)))


def location_asked(register: Register, site: Uid, room: str) -> Uid | None:
    """The location of a site by its name; None where none is named."""
    wanted = room.strip().casefold()
    if not wanted:
        return None
    there = register.find(Location, site=site)
    found = next((each for each in there if each.name.casefold() == wanted), None)
    if found is None:
        known = ", ".join(sorted(each.name for each in there)[:_NAMED]) or "none"
        raise InputRefused(f"No location there is called “{room}”; choose from {known}.", field="room")
    return found.uid


def _further(register: Register, item: Appliance, also: str) -> tuple[Uid, ...]:
    if not also.strip():
        return ()
    with asked_for("also"):
        tags = TagRanges.read(also)
    there = appliances_of(register, site=item.site)
    for first, last in tags.runs:
        if not any(TagRanges(((first, last),)).holds(each.tag) for each in there):
            named = first if first == last else f"{first}..{last}"
            raise InputRefused(f"No item of that site has the tag {named}; look it up with find.", field="also")
    return tuple(each.uid for each in there if tags.holds(each.tag) and each.uid != item.uid)
