"""Act upon a kept plan: move a visit, swap two, split one, merge two; each is one change, and undone as one."""

from collections.abc import Collection
from datetime import date
from typing import TYPE_CHECKING

from msgspec.structs import replace

from appreg.core.records.kept_records import Site
from appreg.core.records.planning_records import Crew, KeptPlan, KeptVisit
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.history.journal import history_of
from appreg.register.history.undoing import undo_change
from appreg.register.opening.register_file import Register
from appreg.schedule.kept_days import refuse_closed

if TYPE_CHECKING:
    from appreg.register.journal.changes import Change

_UNDO = "undo "
"""How the reason of a change begins that undoes another."""


def move_kept_visit(register: Register, who: str, visit: Uid, *, day: date, crew: Uid | None = None) -> KeptVisit:
    """Move a visit to another day, or give it to another crew; a visit that is there already stays one of its own.

    `crew` None: the one that has it. Raises InputRefused where the site is closed or the crew away.
    """
    before = register.get(KeptVisit, visit)
    after = replace(before, day=day, crew=crew or before.crew)
    said = f"{_site(register, before)} moved from {date_words(before.day)} to {date_words(day)}"
    return _put(register, who, said, after)[0]


def swap_kept_visits(register: Register, who: str, one: Uid, other: Uid) -> tuple[KeptVisit, ...]:
    """Exchange the days and crews of two visits."""
    first, second = register.get(KeptVisit, one), register.get(KeptVisit, other)
    said = (
        f"{_site(register, first)} of {date_words(first.day)} and {_site(register, second)} of "
        f"{date_words(second.day)} swapped"
    )
    exchanged = (
        replace(first, day=second.day, crew=second.crew),
        replace(second, day=first.day, crew=first.crew),
    )
    return _put(register, who, said, *exchanged)


def split_kept_visit(
    register: Register, who: str, visit: Uid, *, day: date, items: Collection[str], all_items: Collection[str]
) -> tuple[KeptVisit, ...]:
    """Do some of a visit's items on another day; `all_items` are those it has, which from now on are named.

    Raises InputRefused where nothing or everything is taken.
    """
    before = register.get(KeptVisit, visit)
    taken = tuple(each for each in all_items if each in set(items))
    left = tuple(each for each in all_items if each not in set(items))
    if not taken or not left:
        raise InputRefused("A visit is split into two that both have items; choose some of them.", field="items")
    said = (
        f"{_site(register, before)} of {date_words(before.day)} split, {len(taken)} of its items on {date_words(day)}"
    )
    new = replace(before, uid=register.new_uid(), day=day, items=taken)
    return _put(register, who, said, replace(before, items=left), new)


def merge_kept_visits(register: Register, who: str, kept: Uid, other: Uid) -> KeptVisit:
    """Do the work of another visit to the same site on the day of the one that is kept."""
    first, second = register.get(KeptVisit, kept), register.get(KeptVisit, other)
    if first.site != second.site or first.plan != second.plan or kept == other:
        raise InputRefused("Two visits are merged where both are to the same site; choose another.", field="other")
    said = f"{_site(register, first)} of {date_words(second.day)} merged into {date_words(first.day)}"
    # Where one does whatever is due, both do.
    items = tuple(dict.fromkeys((*first.items, *second.items))) if first.items and second.items else ()
    return _put(register, who, said, replace(first, items=items), removed=second)[0]


def undo_plan_step(register: Register, who: str, plan: Uid) -> str:
    """Undo the last act upon a kept plan and say which; raises InputRefused where there is none.

    What the journal tells of the plan is the stack, so that it goes on after a restart and at another desk.
    """
    steps, _ = _steps(register, plan)
    if not steps:
        raise InputRefused("Nothing has been done to this plan since it was kept, so nothing is left to undo.")
    said = register.get(KeptPlan, plan).said
    undo_change(register, who, steps[-1])
    return said


def redo_plan_step(register: Register, who: str, plan: Uid) -> str:
    """Do again what was undone last and say what; raises InputRefused where nothing was, or another act came since."""
    _, undone = _steps(register, plan)
    if not undone:
        raise InputRefused("Nothing was undone since the last act upon this plan, so nothing is left to do again.")
    undo_change(register, who, Uid(list(undone)[-1]))
    return register.get(KeptPlan, plan).said


def steps_done(register: Register, plan: Uid) -> int:
    """How many acts upon a plan can be undone."""
    return len(_steps(register, plan)[0])


def count_step(register: Register, change: "Change", plan: Uid, said: str) -> None:
    """Note in a change that it is an act upon a plan, which is undone as one."""
    kept = register.get(KeptPlan, plan)
    change.put(replace(kept, step=kept.step + 1, said=said))


def _steps(register: Register, plan: Uid) -> tuple[list[Uid], dict[str, Uid]]:
    """The acts that stand, and by the change that undid them those that were undone since."""
    steps: list[Uid] = []
    undone: dict[str, Uid] = {}
    for entry in history_of(register, plan):
        if entry.before is None or entry.after is None or "step" not in entry.after:
            continue
        target = entry.reason.removeprefix(_UNDO) if entry.reason.startswith(_UNDO) else ""
        if target in undone:
            # An undoing that was itself undone.
            steps.append(undone.pop(target))
        elif target in steps:
            steps.remove(Uid(target))
            undone[entry.change] = Uid(target)
        else:
            steps.append(entry.change)
            undone.clear()
    return steps, undone


def _put(
    register: Register, who: str, said: str, *visits: KeptVisit, removed: KeptVisit | None = None
) -> tuple[KeptVisit, ...]:
    with register.change(who, said) as change:
        for each in visits:
            crew = register.get(Crew, each.crew) if each.crew else None
            refuse_closed(register.get(Site, each.site), each.day, crew)
            change.put(each)
        if removed is not None:
            change.remove(removed)
        count_step(register, change, visits[0].plan, said)
    return visits


def _site(register: Register, visit: KeptVisit) -> str:
    return register.get(Site, visit.site).name
