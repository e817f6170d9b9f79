"""Put labels into the tray, see what waits there, and take them out."""

from collections.abc import Iterable
from datetime import date
from typing import TYPE_CHECKING

from appreg.core.asset_tags import tag_order
from appreg.core.lean_dataclasses import dataclass
from appreg.core.outcomes import Outcome
from appreg.core.records import Appliance, Inspection, LabelKind, Person, QueuedLabel, Site
from appreg.core.uids import Uid
from appreg.paper.label_content import LabelText
from appreg.paper.qr_codes import payload_for
from appreg.register.register_file import Register
from appreg.tasks.find_rules import RuleFinder

if TYPE_CHECKING:
    from appreg.register.changes import Change


@dataclass(frozen=True, slots=True, kw_only=True)
class WaitingLabel:
    """A label in the tray with all that will stand on it."""

    queued: QueuedLabel
    appliance: Appliance
    site: Site
    inspection: Inspection
    person: Person

    def text(self, *, with_next_date: bool = False) -> LabelText:
        """The label as it will be printed; the next date only where it is asked for, and never on a failed item."""
        passed = self.queued.kind is LabelKind.PASS
        return LabelText(
            tag=self.appliance.tag,
            kind=self.queued.kind,
            site=self.site.name,
            on=self.inspection.date,
            initials=self.person.initials,
            item=self.appliance.name,
            next_date=_next_date(self.appliance) if with_next_date and passed else None,
            payload=payload_for(self.appliance.uid),
        )


def queue_labels(register: Register, who: str, *, appliances: Iterable[Uid]) -> tuple[QueuedLabel, ...]:
    """Queue a label for the latest result of each item; items without one, or incomplete, get none."""
    queued = []
    with register.change(who) as change:
        for uid in dict.fromkeys(appliances):
            item = register.get(Appliance, uid)
            if item.last_inspection is None or item.last_outcome in {None, Outcome.INCOMPLETE}:
                continue
            waiting = register.find(QueuedLabel, appliance=uid, printed_on=None)
            if waiting:
                queued.append(waiting[0])
                continue
            label = QueuedLabel(
                uid=change.new_uid(),
                appliance=uid,
                inspection=item.last_inspection,
                kind=LabelKind.PASS if item.last_outcome is Outcome.PASS else LabelKind.DO_NOT_USE,
            )
            change.put(label)
            queued.append(label)
    return tuple(queued)


def queue_latest_label(register: Register, change: "Change", inspection: Inspection) -> QueuedLabel | None:
    """Queue the label of an item's latest result; one that still waits has become untrue and leaves the tray."""
    for waiting in register.find(QueuedLabel, appliance=inspection.appliance, printed_on=None):
        change.remove(waiting)
    if inspection.outcome is Outcome.INCOMPLETE:
        return None
    label = QueuedLabel(
        uid=change.new_uid(),
        appliance=inspection.appliance,
        inspection=inspection.uid,
        kind=LabelKind.PASS if inspection.outcome is Outcome.PASS else LabelKind.DO_NOT_USE,
    )
    change.put(label)
    return label


def waiting_labels(
    register: Register, *, site: Uid | None = None, visit: Uid | None = None, printed_too: bool = False
) -> tuple[WaitingLabel, ...]:
    """The labels in the tray, in the order of sites and tags.

    With `printed_too` also those printed before, as long as they tell the item's latest result.
    """
    rules = RuleFinder(register)
    people: dict[Uid, Person] = {}
    found = []
    for queued in register.find(QueuedLabel) if printed_too else register.find(QueuedLabel, printed_on=None):
        item = register.get(Appliance, queued.appliance)
        inspection = register.get(Inspection, queued.inspection)
        untrue = queued.printed_on is not None and item.last_inspection != inspection.uid
        if untrue or (site and item.site != site) or (visit and inspection.visit != visit):
            continue
        if inspection.person not in people:
            people[inspection.person] = register.get(Person, inspection.person)
        found.append(
            WaitingLabel(
                queued=queued,
                appliance=item,
                site=rules.site(item.site),
                inspection=inspection,
                person=people[inspection.person],
            )
        )
    return tuple(
        sorted(found, key=lambda each: (each.site.name.casefold(), tag_order(each.appliance.tag), each.queued.uid))
    )


def remove_from_tray(register: Register, who: str, *, labels: Iterable[Uid]) -> int:
    """Take waiting labels out of the tray unprinted; returns how many."""
    with register.change(who) as change:
        waiting = [each for each in (register.get(QueuedLabel, uid) for uid in labels) if each.printed_on is None]
        for each in waiting:
            change.remove(each)
    return len(waiting)


def _next_date(item: Appliance) -> date | None:
    return min((day for day in (item.next_visual, item.next_test) if day is not None), default=None)
