"""List the failed items that a landlord's duty wants put right by a day."""

from datetime import date, timedelta
from functools import partial
from typing import TYPE_CHECKING

from msgspec import Struct

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
    from collections.abc import Iterable

    from appreg.core.rules.interval_tables import LandlordProfile
    from appreg.tasks.standing.stated_failures import StatedFailure


class _Failed(Struct, frozen=True, kw_only=True):
    """A failure that is to be put right."""

    on: date
    what: str
    key: Uid


def list_repairs(
    register: Register, rules: RuleFinder, *, today: date, within_days: int, site: Uid | None = None
) -> tuple[DueLine, ...]:
    """One line for each failure not yet passed again, found here or stated by another, by the day it must be put right.

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
    lines += [
        line
        for failure in _stated_failures(register, site)
        if (line := read_on(register, "An item", partial(_stated_line, rules, failure, today, within_days)))
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
    done = f"; repaired: {action.repair}, not passed since" if action.repair else ""
    if item.last_outcome is not Outcome.FAIL:
        done = f"{done}; the record of that was replaced, and the item has not passed since"
    failed = _Failed(on=action.opened_on, what=f"{action.what}{done}", key=action.uid)
    return _repair_line(rules, item, failed, today, within_days)


def _stated_failures(register: Register, site: Uid | None) -> "Iterable[StatedFailure]":
    from appreg.register.lists.stated_items import items_stated_failed  # noqa: PLC0415 - few landlords' duties name a time

    if not items_stated_failed(register, site=site):
        return ()
    from appreg.tasks.standing.stated_failures import readable_stated_failures  # noqa: PLC0415 - few registers have any

    return readable_stated_failures(register, site=site)


def _stated_line(rules: RuleFinder, failure: "StatedFailure", today: date, within_days: int) -> DueLine | None:
    from appreg.core.records.stated_words import failure_words  # noqa: PLC0415 - the same

    stated = failure.stated
    failed = _Failed(on=stated.on, what=failure_words(stated), key=stated.uid)
    return _repair_line(rules, failure.item, failed, today, within_days)


def _repair_line(rules: RuleFinder, item: Appliance, failed: _Failed, today: date, within_days: int) -> DueLine | None:
    profile = rules.profile(item)
    due = put_right_by(profile, item, failed.on)
    if profile is None or due is None or item.state is ServiceState.DISPOSED:
        return None
    return DueLine(
        appliance=item,
        site=rules.site(item.site),
        location=rules.location(item.location),
        what="repair",
        failure=failed.key,
        due=due,
        state=DueState.REPAIR_LATE
        if is_overdue(due, today)
        else due_state(due, inspected=True, today=today, within_days=within_days),
        days=(due - today).days,
        because=f"put right by {date_words(due)}: failed {date_words(failed.on)}, {failed.what} "
        f"({profile.title}, {profile.repair_days} days, {profile.citation_of('repair_days').basis})",
    )
