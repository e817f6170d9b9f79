"""List the failures that others state and that no complete inspection and test has ended."""

from functools import partial

from msgspec import Struct

from appreg.core.records.kept_records import Appliance, StatedInspection
from appreg.core.values.uids import Uid
from appreg.register.lists.stated_items import items_stated_failed
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.read_on import read_on
from appreg.tasks.standing.settle_standing import read_standing


class StatedFailure(Struct, frozen=True):
    """An item that a failure holds which another states."""

    item: Appliance
    stated: StatedInspection


def stated_failures(register: Register, *, site: Uid | None = None) -> tuple[StatedFailure, ...]:
    """One for each such item of a site, or of all, by key; raises RecordDamaged."""
    found = (_failure(register, uid) for uid in items_stated_failed(register, site=site))
    return tuple(each for each in found if each is not None)


def readable_stated_failures(register: Register, *, site: Uid | None = None) -> tuple[StatedFailure, ...]:
    """The same; an item that cannot be read is noted as damaged and left out."""
    found = (
        read_on(register, "An item", partial(_failure, register, uid))
        for uid in items_stated_failed(register, site=site)
    )
    return tuple(each for each in found if each is not None)


def _failure(register: Register, uid: Uid) -> StatedFailure | None:
    stated = read_standing(register, uid).stated_failure
    return None if stated is None else StatedFailure(register.get(Appliance, uid), stated)
