"""Give the next automatic tags of a site; one that an item has borne a moment ago is not given to another."""

import re
from typing import Final

from appreg.core.records.kept_records import Site
from appreg.register.history.journal import history_of
from appreg.register.lists.appliance_lists import last_number, newest_tags, tags_taken
from appreg.register.opening.register_file import Register

_LOOKED_AT: Final = 50
"""Items added last of all, of which those of the site are asked what tag they bore before; a figure of our own."""


def next_tags(register: Register, site: Site, count: int) -> tuple[str, ...]:
    """The next automatic tags of a site: KL-001 after none, KL-042 after KL-041, also where that was printed elsewhere.

    A number that a new item has lost again, its label perhaps printed, is passed over; one above all others that
    an item added longer ago gave up is given again.
    """
    first = max(last_number(register, site.prefix), _last_given_up(register, site)) + 1
    while tags_taken(register, tags := _numbered(site, first, count)):
        first += count
    return tags


def _last_given_up(register: Register, site: Site) -> int:
    """The highest number that one of the newest items of the site has borne and bears no more; 0 where there is none."""
    numbered = re.compile(rf"{re.escape(site.prefix)}-(\d{{1,6}})", re.ASCII)
    changed = [uid for uid, tag in newest_tags(register, site.uid, _LOOKED_AT) if not numbered.fullmatch(tag)]
    borne = [
        numbered.fullmatch(str(entry.before["tag"]))
        for uid in changed
        for entry in history_of(register, uid)
        if entry.before and "tag" in entry.before
    ]
    return max((int(found[1]) for found in borne if found), default=0)


def _numbered(site: Site, first: int, count: int) -> tuple[str, ...]:
    return tuple(f"{site.prefix}-{number:03d}" for number in range(first, first + count))
