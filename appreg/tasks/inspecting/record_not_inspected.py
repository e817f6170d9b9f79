"""Record that an item could not be inspected on a visit: it stays due, and the report says why."""

from msgspec.structs import replace

from appreg.core.records.kept_records import Appliance, Visit
from appreg.core.records.work_records import NotInspected, NotInspectedBecause
from appreg.core.values.text import clean
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.lists.inspection_lists import inspections_of_visit
from appreg.register.opening.register_file import Register


def record_not_inspected(
    register: Register, who: str, *, appliance: Uid, visit: Uid, because: NotInspectedBecause, note: str = ""
) -> NotInspected:
    """Keep the reason, dated and signed by the visit; a second one for the same visit takes the place of the first.

    Raises InputRefused where the item is not of the visit's site, or was inspected on it.
    """
    with register.change(who) as change:
        item, on = register.get(Appliance, appliance), register.get(Visit, visit)
        if item.site != on.site:
            raise InputRefused(f"{item.tag} does not belong to the site of this visit; start a visit there.")
        if any(each.appliance == appliance for each in inspections_of_visit(register, visit)):
            raise InputRefused(f"{item.tag} was inspected on this visit; take that back first if it was not.")
        kept = NotInspected(
            uid=change.new_uid(),
            appliance=appliance,
            visit=visit,
            date=on.date,
            person=on.person,
            because=because,
            note=clean(note, field="note"),
        )
        for earlier in register.find(NotInspected, appliance=appliance, visit=visit):
            kept = replace(kept, uid=earlier.uid)
        change.put(kept)
    return kept


def not_inspected_on(register: Register, visit: Uid) -> tuple[NotInspected, ...]:
    """What could not be inspected on a visit and was not inspected on it later either."""
    done = {each.appliance for each in inspections_of_visit(register, visit)}
    return tuple(each for each in register.find(NotInspected, visit=visit) if each.appliance not in done)
