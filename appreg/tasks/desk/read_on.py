"""Read on where one record cannot be read: it is noted as damaged, and what does not need it goes on."""

from collections.abc import Callable
from typing import Final, TypeVar

from appreg.core.values.uids import Uid
from appreg.errors import InputRefused, NotFound
from appreg.register.lists.damaged_items import DamagedItem, damaged_items, has_damaged_keys
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_codec import RecordDamaged

T = TypeVar("T")

DAMAGED = "damaged: run `appreg verify`"
"""Stands where a name or title cannot be given."""
_ELSEWHERE: Final = "Items of other sites are damaged, of which nothing is said here; run `appreg verify`."


def read_on(register: Register, what: str, read: Callable[[], T]) -> T | None:
    """Read something about a record; None where that, or what it rests on, is damaged, which is noted."""
    try:
        return read()
    except RecordDamaged as damage:
        register.damage.note_record(damage)
    except (InputRefused, NotFound) as problem:
        register.damage.note(str(problem), f"{what} needs attention: {problem}")
    return None


def note_damaged_items(register: Register, *, site: Uid | None = None, quick: bool = False) -> list[DamagedItem]:
    """Note the items that lists would pass over since what they go by is damaged, and return them.

    `quick`: only where what the due list goes by is damaged somewhere; the rest is told as it is read. That it is so at
    another site than the one asked for is then said too.
    """
    if quick and not has_damaged_keys(register):
        return []
    found = damaged_items(register, site=site)
    for item in found:
        register.damage.note(f"Appliance {item.uid}", item.sentence)
    if quick and site is not None and len(damaged_items(register)) > len(found):
        register.damage.note("elsewhere", _ELSEWHERE)
    return found
