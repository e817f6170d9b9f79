"""Take back the inspection just kept: the journal keeps both, the item is as it was before."""

from appreg.core.records import Appliance, Inspection
from appreg.core.uids import Uid
from appreg.errors import InputRefused
from appreg.register.inspection_lists import is_withdrawn
from appreg.register.journal import history_of
from appreg.register.register_file import Register
from appreg.register.undoing import undo_change


def take_back_inspection(register: Register, who: str, inspection: Uid) -> Appliance:
    """Undo the change that kept an inspection and return the item as it was before.

    Raises InputRefused where it is taken back already, or something it touched has been changed since, say a label that is printed.
    """
    kept = register.get(Inspection, inspection)
    if is_withdrawn(register, inspection):
        raise InputRefused("That inspection has been taken back already; nothing is left to undo.")
    history = history_of(register, inspection)
    if not history:
        raise InputRefused("The journal does not tell how that inspection was kept; correct it with a new one instead.")
    undo_change(register, who, history[0].change)
    return register.get(Appliance, kept.appliance)
