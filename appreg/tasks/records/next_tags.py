"""Give the next automatic tags of a site; one that an item has borne before is not given to another."""

from appreg.core.records.kept_records import Site
from appreg.register.history.given_up_tags import tags_given_up
from appreg.register.lists.appliance_lists import last_number, tags_taken
from appreg.register.opening.register_file import Register


def next_tags(register: Register, site: Site, count: int) -> tuple[str, ...]:
    """The next automatic tags of a site: KL-001 after none, KL-042 after KL-041, also where that was printed elsewhere.

    A number that an item has given up, its label perhaps printed, is passed over; those above it are not.
    """
    first, given_up = last_number(register, site.prefix) + 1, tags_given_up(register)
    while True:
        tags = _numbered(site, first, count)
        passed = max((place for place, tag in enumerate(tags, 1) if tag in given_up), default=0)
        if not passed and not tags_taken(register, tags):
            return tags
        first += passed or count


def know_tags(register: Register) -> None:
    """Look through the journal now, so that no letter typed later waits for it."""
    tags_given_up(register)


def _numbered(site: Site, first: int, count: int) -> tuple[str, ...]:
    return tuple(f"{site.prefix}-{number:03d}" for number in range(first, first + count))
