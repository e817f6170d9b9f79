"""List all sites with what needs attention there."""

from datetime import date, timedelta

from appreg.core.lean_dataclasses import dataclass
from appreg.core.records import Client, Site
from appreg.register.due_lists import counts_by_site, due_by_month
from appreg.register.register_file import Register


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteLine:
    """One site and its counts of items."""

    site: Site
    client: Client
    items: int
    overdue: int
    soon: int
    failed: int
    never: int
    withdrawn: int
    months: tuple[int, ...]
    """Inspections falling due in each of the next twelve months, the present one first."""


def list_sites(register: Register, *, today: date, within_days: int = 30) -> tuple[SiteLine, ...]:
    """All sites by name."""
    counts = counts_by_site(register, today=today, soon=today + timedelta(days=within_days))
    months = due_by_month(register, today)
    clients = {each.uid: each for each in register.find(Client)}
    lines = []
    for site in sorted(register.find(Site), key=lambda each: (each.name.casefold(), each.uid)):
        own = counts.get(site.uid)
        lines.append(
            SiteLine(
                site=site,
                client=clients[site.client],
                items=own.items if own else 0,
                overdue=own.overdue if own else 0,
                soon=own.soon if own else 0,
                failed=own.failed if own else 0,
                never=own.never if own else 0,
                withdrawn=own.withdrawn if own else 0,
                months=tuple(months.get(site.uid, (0,) * 12)),
            )
        )
    return tuple(lines)
