"""The failures that others state and that no complete inspection and test has ended, and the label that each asks for.

Such a label is of no inspection, so no row of the tray can hold it: it waits while its failure stands, and that it was
printed, or waits again, is noted in the journal beside what was stated.
"""

from functools import partial
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from appreg.core.records.kept_records import Appliance, LabelKind, QueuedLabel, StatedInspection
from appreg.core.values.uids import Uid
from appreg.register.history.journal import last_change_of
from appreg.register.lists.stated_items import items_stated_failed
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.read_on import read_on
from appreg.tasks.standing.settle_standing import read_standing

if TYPE_CHECKING:
    from appreg.register.journal.changes import Change

_DONE: Final = "outcome"
_WAITS: Final = "on"
"""The fields that a line of the journal names as they are, where its label was printed and where it waits again."""


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


def stated_label(stated: StatedInspection) -> QueuedLabel:
    """The label that the failure asks for, by the key of what is stated; it is in no table."""
    return QueuedLabel(
        uid=stated.uid, appliance=stated.appliance, inspection=stated.uid, kind=LabelKind.DO_NOT_USE
    )  # fmt: skip


def is_stated_label(label: QueuedLabel) -> bool:
    """Tell whether a label is of a failure that another states."""
    return label.uid == label.inspection


def stated_label_waits(register: Register, stated: Uid) -> bool:
    """Tell whether the label is still to be printed; where the journal does not say, it is."""
    done, again = (last_change_of(register, stated, field) for field in (_DONE, _WAITS))
    return done is None or again is None or done.time <= again.time


def note_stated_label(change: "Change", stated: StatedInspection, *, waits: bool) -> None:
    """Note that the label was printed or taken out of the tray, or that it waits again."""
    change.note_kept(stated, _WAITS if waits else _DONE)
