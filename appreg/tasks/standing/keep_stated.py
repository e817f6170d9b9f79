"""Keep what somebody else states of inspections, without readings: dates follow it, no result does but a failure."""

from collections.abc import Collection, Iterable
from typing import TYPE_CHECKING

from msgspec.structs import replace

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance, QueuedLabel, StatedInspection
from appreg.core.values.uids import Uid
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.find_rules import ItemRules, RuleFinder
from appreg.tasks.standing.settle_standing import Standing, read_standing, settled

if TYPE_CHECKING:
    from appreg.register.journal.changes import Change


def keep_stated(register: Register, change: "Change", told: Iterable[StatedInspection]) -> tuple[Appliance, ...]:
    """Keep them and give the items as they leave them: withdrawn where a failure stands, no label of a pass waiting."""
    kept = list(told)
    for each in kept:
        change.put(each)
    rules, items = RuleFinder(register), []
    for uid in dict.fromkeys(each.appliance for each in kept):
        item, standing = register.get(Appliance, uid), read_standing(register, uid)
        item = standing_item(item, standing, rules.of(item))
        change.put(item)
        items.append(item)
    for label in outdated_labels(register, [item.uid for item in items]):
        change.remove(label)
    return tuple(items)


def standing_item(item: Appliance, standing: Standing, rules: ItemRules) -> Appliance:
    """The item as its inspections and what is stated leave it; what a failure stands against is withdrawn."""
    now = settled(item, standing, rules)
    is_used = now.state in {ServiceState.IN_SERVICE, ServiceState.MISSING}
    return replace(now, state=ServiceState.WITHDRAWN) if standing.failed_on is not None and is_used else now


def outdated_labels(register: Register, items: Collection[Uid]) -> list[QueuedLabel]:
    """The waiting labels of some items that tell of another result than the latest one, or of a pass while a failure stands."""
    every = register.find(QueuedLabel, printed_on=None)
    among = {each.appliance for each in every}.intersection(items)
    waiting = [each for each in every if each.appliance in among]
    return [each for each in waiting if register.get(Appliance, each.appliance).last_inspection != each.inspection]
