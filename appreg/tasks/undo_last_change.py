"""Undo the last change, through the journal: nothing is erased, an inspection is taken back."""

from dataclasses import dataclass

from appreg.core.uids import Uid
from appreg.errors import NotFound
from appreg.register.journal import last_change
from appreg.register.register_file import Register
from appreg.register.undoing import undo_change


@dataclass(frozen=True, slots=True, kw_only=True)
class Undone:
    """What was put back."""

    change: Uid
    """The change that was undone."""
    by: Uid
    """The change that undid it."""


def undo_last_change(register: Register, who: str) -> Undone:
    """Undo the last change by this person; raises NotFound where there is none, InputRefused where it cannot be."""
    last = last_change(register, who=who)
    if last is None:
        raise NotFound("Nothing of yours is in the journal yet; there is nothing to undo.")
    return undo_one_change(register, who, last.uid)


def undo_one_change(register: Register, who: str, change: Uid) -> Undone:
    """Undo a certain change, say the one that saved an inspection; raises as undo_last_change does."""
    return Undone(change=change, by=undo_change(register, who, change))
