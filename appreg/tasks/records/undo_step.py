"""Undo what was done to many items as the one step it was: the journal keeps both."""

from msgspec import Struct

from appreg.core.records.kept_records import Appliance
from appreg.core.values.uids import Uid
from appreg.progress import Progress
from appreg.register.history.undoing import undo_change
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.find_rules import RuleFinder
from appreg.tasks.standing.mend_standings import mend_item
from appreg.tasks.standing.settle_standing import held_back, read_standing, settled


class DoneStep(Struct, frozen=True, kw_only=True):
    """One action on items, as it can be undone."""

    change: Uid
    words: str
    """What was done, in words: 3 items withdrawn."""
    items: tuple[Uid, ...]
    """The items it was done to."""


def undo_step(register: Register, who: str, step: DoneStep, *, progress: Progress | None = None) -> int:
    """Put back everything that a step did, or nothing; return how many items it was done to.

    Raises InputRefused, naming the record, where something of it has been changed since.
    """
    with register.change(who, f"undo {step.change}") as undoing:
        undo_change(register, who, step.change, progress=progress)
        rules = RuleFinder(register)
        for uid in step.items:
            # Inspected since, or under other rules, an item is not quite what it was.
            item, standing = register.get(Appliance, uid), read_standing(register, uid)
            if held_back(item, standing) is not item:
                mend_item(register, undoing, item, standing)
            elif item.last_date or standing.shown[-1]:
                undoing.put(settled(item, standing, rules.of(item)))
    return len(step.items)
