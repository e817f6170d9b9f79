"""List the failed items that a landlord's duty wants put right by a day."""

from datetime import date, timedelta
from functools import partial
from typing import TYPE_CHECKING

from appreg.core.records.appliances import NOT_THE_LANDLORDS, ServiceState
from appreg.core.records.kept_records import Appliance, Site
from appreg.core.records.work_records import RemedialAction
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid
from appreg.register.opening.register_file import Register
from appreg.schedule.due_states import DueState, due_state, is_overdue
from appreg.tasks.desk.find_rules import RuleFinder
from appreg.tasks.desk.read_on import read_on
from appreg.tasks.standing.due_lines import DueLine

if TYPE_CHECKING:
    from appreg.core.rules.interval_tables import LandlordProfile


def list_repairs(
    register: Register, rules: RuleFinder, *, today: date, within_days: int, site: Uid | None = None
) -> tuple[DueLine, ...]:
    """One line for each failure not yet passed again, by the day it must be put right; all, however far.

    Only where the duty of the site names a time, and not for what belongs to the tenant or to another.
    """
    asked = register.find_readable(Site) if site is None else register.find_readable(Site, uid=site)
    if not any(each.landlord_profile for each in asked):
        return ()
    lines = [
        line
        for action in register.find_readable(RemedialAction, closed_by=None)
        if (line := read_on(register, "An item", partial(_line, register, rules, action, today, within_days)))
        and site in {None, line.site.uid}
    ]
    return tuple(sorted(lines, key=lambda line: (line.due or date.max, line.appliance.tag, line.failure)))


def put_right_by(profile: "LandlordProfile | None", item: Appliance, failed_on: date) -> date | None:
    """The day by which a failure must be put right; None where the duty names none, or the item is not the landlord's."""
    if profile is None or profile.repair_days is None or item.owner in NOT_THE_LANDLORDS:
        return None
    return failed_on + timedelta(days=profile.repair_days)


def _line(
    register: Register, rules: RuleFinder, action: RemedialAction, today: date, within_days: int
) -> DueLine | None:
    item = register.get(Appliance, action.appliance)
    profile = rules.profile(item)
    due = put_right_by(profile, item, action.opened_on)
    if profile is None or due is None or item.state is ServiceState.DISPOSED:
        return None
    done = f"; repaired: {action.repair}, not passed since" if action.repair else ""
    if item.last_outcome is not Outcome.FAIL:
        done = f"{done}; the record of that was replaced, and the item has not passed since"
    return DueLine(
        appliance=item,
        site=rules.site(item.site),
        location=rules.location(item.location),
        what="repair",
        failure=action.uid,
        due=due,
        state=DueState.REPAIR_LATE
        if is_overdue(due, today)
        else due_state(due, inspected=True, today=today, within_days=within_days),
        days=(due - today).days,
        because=f"put right by {date_words(due)}: failed {date_words(action.opened_on)}, {action.what}{done} "
        f"({profile.title}, {profile.repair_days} days, {profile.citation_of('repair_days').basis})",
    )
