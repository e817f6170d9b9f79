"""Take back the inspection just kept: the journal keeps both, the item is as it was before."""

from collections.abc import Collection

from msgspec.structs import replace

from appreg.core.records.kept_records import Appliance, Inspection, QueuedLabel
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.history.journal import history_of
from appreg.register.history.undoing import undo_change
from appreg.register.lists.inspection_lists import is_withdrawn
from appreg.register.opening.register_file import Register
from appreg.tasks.standing.check_standings import contradictions
from appreg.tasks.standing.mend_standings import mend_item
from appreg.tasks.standing.settle_standing import read_standing


def take_back_last(register: Register, who: str, inspection: Uid, *, kept_here: Collection[Uid]) -> Appliance:
    """Take back what was kept last on a visit, here or by the same person before.

    Raises InputRefused where somebody else kept it, and as take_back_inspection() does.
    """
    history = () if inspection in kept_here else history_of(register, inspection)
    if history and history[0].who != who:
        tag = register.get(Appliance, register.get(Inspection, inspection).appliance).tag
        raise InputRefused(
            f"{tag} was kept last on this visit, by {history[0].who}, and nothing kept here is left to take back. "
            f"Open {tag} to correct what was kept."
        )
    return take_back_inspection(register, who, inspection)


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
    with register.change(who, f"undo {history[0].change}") as change:
        state = register.get(Appliance, kept.appliance).state
        undo_change(register, who, history[0].change)
        item, standing = register.get(Appliance, kept.appliance), read_standing(register, kept.appliance)
        # What stood before may not be what the other inspections come to now.
        if contradictions(item, standing, register.find(QueuedLabel, appliance=item.uid, printed_on=None)):
            state = item.state if standing.failed_on is not None else state
            mend_item(register, change, replace(item, state=state), standing)
    return register.get(Appliance, kept.appliance)
