"""List all sites, or show one, with what needs attention there."""

from collections import Counter
from collections.abc import Iterable
from datetime import date, timedelta
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from appreg.core.records.kept_records import Client, Site
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.uids import Uid
from appreg.register.lists.appliance_lists import seats_taken
from appreg.register.lists.due_lists import Counts, counts_by_site, due_by_month
from appreg.register.opening.register_file import Register
from appreg.schedule.interval_choice import interval_table
from appreg.tasks.desk.find_rules import profile_at
from appreg.tasks.desk.read_on import DAMAGED, note_damaged_items

MANY_ITEMS: Final = 5_000
"""From so many items on, counting them takes longer than a frame may."""


class SiteLine(Struct, frozen=True, kw_only=True):
    """One site and its counts of items."""

    site: Site
    client: Client
    counts: Counts | None = None
    """None: not counted yet."""
    months: tuple[int, ...] = ()
    """Items with a date in each of the next twelve months, the present one (from today) first."""


def list_sites(register: Register, *, today: date, within_days: int = 30) -> tuple[SiteLine, ...]:
    """All sites by name, their items counted."""
    counts = counts_by_site(register, today=today, soon=today + timedelta(days=within_days))
    damaged = Counter(item.site for item in note_damaged_items(register))
    months = due_by_month(register, today)
    return tuple(
        SiteLine(
            site=line.site,
            client=line.client,
            counts=replace(counts[line.site.uid], damaged=damaged[line.site.uid]),
            months=tuple(months[line.site.uid]),
        )
        for line in uncounted_sites(register)
    )


def uncounted_sites(register: Register) -> tuple[SiteLine, ...]:
    """All sites by name, for a list that does not wait for its counts."""
    clients = {each.uid: each for each in register.find_readable(Client)}
    sites = sorted(register.find_readable(Site), key=lambda each: (each.name.casefold(), each.uid))
    return tuple(
        SiteLine(site=site, client=clients.get(site.client) or Client(uid=site.client, name=DAMAGED)) for site in sites
    )


def count_site(register: Register, site: Uid, *, today: date, within_days: int = 30) -> Counts:
    """The counts of one site, however many items there are elsewhere."""
    counts = counts_by_site(register, today=today, soon=today + timedelta(days=within_days), site=site)[site]
    return replace(counts, damaged=len(note_damaged_items(register, site=site)))


def takes_long_to_count(register: Register) -> bool:
    """Tell whether the items of all sites are too many to be counted before a screen is drawn."""
    return seats_taken(register) >= MANY_ITEMS


def sum_of(counts: Iterable[Counts]) -> Counts:
    """The counts of some sites together."""
    each = tuple(counts)
    first = min((one.oldest_overdue for one in each if one.oldest_overdue), default=None)
    added = {name: sum(getattr(one, name) for one in each) for name in Counts.__struct_fields__ if name != _DAY}
    return Counts(**added, oldest_overdue=first)


_DAY: Final = "oldest_overdue"


class SiteRules(Struct, frozen=True, kw_only=True):
    """The rules of a site, each in words."""

    book: str
    table: str
    environment: str
    duty: str
    """The statutory duty; empty: none known."""


def site_rules(site: Site) -> SiteRules:
    """The titles of what holds at a site; raises InputRefused where its rules no longer exist."""
    book = load_rule_book(site.rule_book)
    table = interval_table(book, site.interval_table)
    profile = profile_at(site, book)
    return SiteRules(
        book=book.named(),
        table=table.id,
        environment=table.environments.get(site.environment, site.environment),
        duty=profile.title if profile else "",
    )
