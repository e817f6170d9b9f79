"""List the checks that users make: how often, by location and kind of item; nothing of them is recorded."""

import re
from functools import partial
from typing import Final

from msgspec import Struct

from appreg.core.records.kept_records import Appliance, Location, Site
from appreg.core.values.asset_tags import tag_order
from appreg.core.values.uids import Uid
from appreg.register.lists.item_kinds import item_kinds, items_of_kind
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.find_rules import RuleFinder
from appreg.tasks.desk.read_on import read_on

_FREQUENCIES: Final = {"1 day": "daily", "1 week": "weekly", "1 month": "monthly"}


class UserCheckLine(Struct, frozen=True, kw_only=True):
    """Items at one location that their users check equally often."""

    site: Site
    location: Location
    every: str
    """How often or on which event, in words."""
    items: int
    because: str
    """The row of the interval table."""


def list_user_checks(register: Register, *, site: Uid | None = None) -> tuple[UserCheckLine, ...]:
    """The user checks that interval tables ask for, of items in service, by site, location and frequency."""
    rules = RuleFinder(register)
    counted: dict[tuple[Uid, Uid, str, str], int] = {}
    for kind in item_kinds(register, site=site):
        answer = read_on(register, "A site", partial(rules.answer_at, kind.site, kind.location, kind.key))
        if answer is not None and answer.user_check is not None:
            at = (kind.site, kind.location, user_check_words(answer.user_check.words), answer.title)
            counted[at] = counted.get(at, 0) + kind.items
    lines = [
        UserCheckLine(
            site=rules.site(place), location=rules.location(location), every=every, items=items, because=title
        )
        for (place, location, every, title), items in counted.items()
    ]
    return tuple(sorted(lines, key=lambda line: (line.site.name.casefold(), line.location.name.casefold(), line.every)))


class RoomCheckLine(Struct, frozen=True, kw_only=True):
    """One item that its users check, where it stands."""

    appliance: Appliance
    site: Site
    location: Location
    every: str
    """How often or on which event, in words."""
    because: str
    """The row of the interval table."""


def list_room_checks(
    register: Register, *, site: Uid | None = None, location: Uid | None = None
) -> tuple[RoomCheckLine, ...]:
    """Every item in service that its users check, room by room and by tag; only those of a site or a location."""
    rules = RuleFinder(register)
    lines: list[RoomCheckLine] = []
    for kind in item_kinds(register, site=site):
        if location not in {None, kind.location}:
            continue
        answer = read_on(register, "A site", partial(rules.answer_at, kind.site, kind.location, kind.key))
        if answer is None or answer.user_check is None:
            continue
        lines += [
            RoomCheckLine(
                appliance=item,
                site=rules.site(kind.site),
                location=rules.location(kind.location),
                every=user_check_words(answer.user_check.words),
                because=answer.title,
            )
            for item in items_of_kind(register, kind)
        ]
    return tuple(sorted(lines, key=_by_room))


def _by_room(line: RoomCheckLine) -> tuple[str, str, str]:
    return line.site.name.casefold(), line.location.name.casefold(), tag_order(line.appliance.tag)


def user_check_words(interval: str) -> str:
    """Say 'daily' for 1 day and 'weekly' for 1 week, in words that people use of user checks."""
    for figure, word in _FREQUENCIES.items():
        if figure in interval:
            interval = re.sub(rf"\b{figure}\b", word, interval)
    return interval
