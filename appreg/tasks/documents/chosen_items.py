"""Which items of a site a sheet is about: all, those of a room, or some by their keys; in the order of the way round."""

from collections.abc import Collection

from msgspec import Struct

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.lists.appliance_lists import appliances_of
from appreg.register.opening.register_file import Register


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
        _refuse_others(register, named - {each.uid for each in found})
    rooms: dict[Uid, list[Appliance]] = {}
    for item in found:
        rooms.setdefault(item.location, []).append(item)
    return [item for room in rooms.values() for item in room]


def _refuse_others(register: Register, others: Collection[Uid]) -> None:
    if others:
        item = register.get(Appliance, min(others))
        raise InputRefused(f"{item.tag} is {item.state} or not of that place; leave it out, or choose its own site.")
