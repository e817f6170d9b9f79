"""Choose a visit by its key, its date, or as the latest."""

from datetime import date

from appreg.core.records import Site, Visit
from appreg.core.typed_values import date_typed
from appreg.core.uids import Uid, is_uid
from appreg.errors import InputRefused, NotFound
from appreg.register.journal_ends import in_journal_order
from appreg.register.register_file import Register


def visit_named(register: Register, named: str, site: Uid | None = None, *, today: date) -> Visit:
    """The visit meant, at the site if one is given; raises NotFound, or InputRefused where several are meant."""
    visits = visits_of(register, site)
    wanted = named.strip()
    if wanted.casefold() == "latest":
        found = visits[-1:]
    else:
        found = [each for each in visits if wanted.upper() == each.uid]
        if not found and not is_uid(wanted.upper()):
            day = date_typed(wanted, field="visit, neither a key nor “latest”", today=today)
            found = [each for each in visits if each.date == day]
    if not found:
        where = f" at {register.get(Site, site).name}" if site else ""
        raise NotFound(f"There is no visit {wanted}{where}; name it by its key or its date, or ask for the latest.")
    if len(found) > 1:
        keys = ", ".join(each.uid for each in found)
        raise InputRefused(f"{len(found)} visits are of {wanted}; name one by its key: {keys}.")
    return found[0]


def visits_of(register: Register, site: Uid | None = None) -> list[Visit]:
    """The visits at a site, or all: the earliest first, those of one day as they were started."""
    found = in_journal_order(register, register.find(Visit, site=site) if site else register.find(Visit))
    return sorted(found, key=lambda each: each.date)


def visit_of_day(register: Register, site: Uid, on: date) -> Visit | None:
    """The visit to a site on a day, the one started last where there are several."""
    return next(reversed(in_journal_order(register, register.find(Visit, site=site, date=on))), None)
