"""Read on where one record cannot be read: it is noted as damaged, and what does not need it goes on."""

from collections.abc import Callable
from typing import TypeVar

from appreg.core.values.uids import Uid
from appreg.errors import InputRefused, NotFound
from appreg.register.lists.damaged_items import DamagedItem, damaged_items, has_damaged_keys
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_codec import RecordDamaged

T = TypeVar("T")

DAMAGED = "damaged: run `appreg verify`"
"""Stands where a name or title cannot be given."""


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

    `quick`: only where what the due list goes by is damaged somewhere; the rest is told as it is read.
    """
    if quick and not has_damaged_keys(register):
        return []
    found = damaged_items(register, site=site)
    for item in found:
        register.damage.note(f"Appliance {item.uid}", item.sentence)
    return found
