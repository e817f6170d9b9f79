"""List the checks that users make: how often, by location and kind of item; nothing of them is recorded."""

import re
from functools import partial
from typing import Final

from msgspec import Struct

from appreg.core.records.kept_records import Location, Site
from appreg.core.values.uids import Uid
from appreg.register.lists.item_kinds import item_kinds
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


def user_check_words(interval: str) -> str:
    """Say 'daily' for 1 day and 'weekly' for 1 week, in words that people use of user checks."""
    for figure, word in _FREQUENCIES.items():
        if figure in interval:
            interval = re.sub(rf"\b{figure}\b", word, interval)
    return interval
