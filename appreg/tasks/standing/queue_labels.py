"""Put labels into the tray, see what waits there, and take them out."""

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from datetime import date
from functools import partial
from typing import TYPE_CHECKING

from msgspec import Struct

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import (
    Appliance,
    FindingRecord,
    Inspection,
    InspectionKind,
    LabelKind,
    Person,
    QueuedLabel,
    Site,
    Visit,
)
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.asset_tags import tag_order
from appreg.core.values.label_codes import code_text
from appreg.core.values.label_fields import LabelField
from appreg.core.values.outcomes import CheckResult, Outcome
from appreg.core.values.uids import Uid
from appreg.paper.documents.item_words import check_words, reading_words
from appreg.paper.labels.label_content import LabelText, NextDate
from appreg.register.lists.label_rows import LabelRows
from appreg.register.opening.register_file import Register
from appreg.schedule.due_states import is_overdue
from appreg.tasks.desk.find_rules import RuleFinder
from appreg.tasks.desk.read_on import read_on
from appreg.tasks.standing.check_label import why_no_pass, why_untrue
from appreg.tasks.standing.settle_standing import Standing, read_standing, standing_among

if TYPE_CHECKING:
    from appreg.register.journal.changes import Change


class WaitingLabel(Struct, frozen=True, kw_only=True):
    """A label in the tray with all that will stand on it."""

    queued: QueuedLabel
    appliance: Appliance
    site: Site
    room: str = ""
    """Name of the item's location."""
    inspection: Inspection
    person: Person
    visit: Visit
    book: RuleBook
    """The rule book of the inspection."""
    without: tuple[str, ...] = ()
    """The checks that the inspection left out with a reason, in words."""
    cause: str = ""
    """Of a failure: each check that failed, with its reading."""
    tested_on: date | None = None
    """The last passed inspection with test."""
    today: date
    untrue: str = ""
    """Why it must not be printed as things stand, in words that follow 'it'; empty: it tells the truth."""

    def text(self, *, with_next_date: bool = False) -> LabelText:
        """The label as it will be printed; the next date where it or the book asks, and never on a failed item."""
        passed = self.queued.kind is LabelKind.PASS
        dated = with_next_date or LabelField.NEXT_DATE in self.book.label_fields
        return LabelText(
            tag=self.appliance.tag,
            kind=self.queued.kind,
            site=self.site.name,
            on=self.inspection.date,
            initials=self.person.initials,
            item=self.appliance.name,
            looked_only=passed and self.inspection.kind is InspectionKind.VISUAL,
            tested_on=self.tested_on,
            test_overdue_since=self.appliance.next_test if is_overdue(self.appliance.next_test, self.today) else None,
            next_date=_next_date(self.appliance) if dated and passed else None,
            cause=self.cause,
            ask="" if passed else whom_to_ask(self.site, self.person),
            tester=self._tester(),
            colour=self.visit.period_colour if passed else "",
            without=self.without if passed else (),
            dates=self.book.date_form,
            payload=code_text(self.appliance.tag, self.appliance.uid),
        )

    def _tester(self) -> str:
        wanted, firm = self.book.label_fields, self.person.firm
        name = self.person.name if LabelField.TESTER in wanted else ""
        return ", ".join(part for part in (name, firm) if part) if name or LabelField.FIRM in wanted else ""

    def lacks(self) -> tuple[LabelField, ...]:
        """What the rule book wants named and the register does not hold."""
        passed, wanted = self.queued.kind is LabelKind.PASS, self.book.label_fields
        undated = passed and LabelField.NEXT_DATE in wanted and _next_date(self.appliance) is None
        unsigned = LabelField.FIRM in wanted and not self.person.firm
        return ((LabelField.FIRM,) if unsigned else ()) + ((LabelField.NEXT_DATE,) if undated else ())


def whom_to_ask(site: Site, finder: Person) -> str:
    """Whom a failed item's label and notice name: whoever sees to it at the site, else whoever found the fault."""
    named = (site.responsible, site.responsible_contact)
    return ", ".join(part for part in named if part) or finder.firm or finder.name


def queue_labels(register: Register, who: str, *, appliances: Iterable[Uid], today: date) -> tuple[QueuedLabel, ...]:
    """Queue the label that each item may bear: a pass only in service and in date after one, do not use while a failure stands.

    Items that may bear neither get none: those disposed of, never or not completely inspected, overdue, withdrawn or missing.
    """
    with register.change(who) as change:
        labels = (_label_of(register, change.new_uid, uid, today) for uid in dict.fromkeys(appliances))
        queued = tuple(label for label in labels if label is not None)
        for label in queued:
            change.put(label)
    return queued


def queue_labels_of(
    register: Register, change: "Change", *, inspections: Mapping[Uid, Collection[Uid]], today: date
) -> int:
    """Within a change, queue the labels that items may bear by one of some inspections, by item; returns how many."""
    count = 0
    for item, among in inspections.items():
        label = _label_of(register, change.new_uid, item, today)
        if label is not None and label.inspection in among:
            change.put(label)
            count += 1
    return count


def _label_of(register: Register, new_uid: Callable[[], Uid], uid: Uid, today: date) -> QueuedLabel | None:
    """The label that an item may bear: one that waits already, else a new one."""
    item, standing = register.get(Appliance, uid), read_standing(register, uid)
    waiting = (
        each
        for each in register.find(QueuedLabel, appliance=uid, printed_on=None)
        if not why_untrue(each, item, standing, today)
    )
    return next(waiting, None) or _fitting(new_uid(), item, standing, today)


def _fitting(uid: Uid, item: Appliance, standing: Standing, today: date) -> QueuedLabel | None:
    if standing.last is None or item.state is ServiceState.DISPOSED:
        return None
    if standing.failure is not None:
        return QueuedLabel(uid=uid, appliance=item.uid, inspection=standing.failure.uid, kind=LabelKind.DO_NOT_USE)
    if not why_no_pass(item, standing, today):
        return QueuedLabel(uid=uid, appliance=item.uid, inspection=standing.last.uid, kind=LabelKind.PASS)
    return None


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
    register: Register, *, today: date, site: Uid | None = None, visit: Uid | None = None, printed_too: bool = False
) -> tuple[WaitingLabel, ...]:
    """The labels in the tray, in the order of sites and tags; one that must not be printed says why.

    With `printed_too` also the newest of each item whose labels were printed before.
    """
    found = []
    wanted = (
        register.find_readable(QueuedLabel) if printed_too else register.find_readable(QueuedLabel, printed_on=None)
    )
    if printed_too:
        wanted = _newest(wanted)
    look = _Look(register, wanted, today)
    for queued in wanted:
        label = read_on(register, "A label", partial(look.at, queued))
        if label is None or (site and label.site.uid != site) or (visit and label.inspection.visit != visit):
            continue
        found.append(label)
    return tuple(
        sorted(found, key=lambda each: (each.site.name.casefold(), tag_order(each.appliance.tag), each.queued.uid))
    )


def _newest(labels: Iterable[QueuedLabel]) -> list[QueuedLabel]:
    """All that wait, and of each other item the label that was queued last."""
    waiting: list[QueuedLabel] = []
    printed: dict[Uid, QueuedLabel] = {}
    for each in labels:
        if each.printed_on is None:
            waiting.append(each)
        elif each.appliance not in printed or printed[each.appliance].uid < each.uid:
            printed[each.appliance] = each
    replaced = {each.appliance for each in waiting}
    return waiting + [each for item, each in printed.items() if item not in replaced]


def labels_of(register: Register, queued: Iterable[QueuedLabel], today: date) -> dict[Uid, WaitingLabel]:
    """Labels as they would be printed now, by key."""
    wanted = list(queued)
    look = _Look(register, wanted, today)
    seen = ((each.uid, read_on(register, "A label", partial(look.at, each))) for each in wanted)
    return {uid: label for uid, label in seen if label is not None}


class _Look:
    """Joins labels with their records, reading each site, person and visit once, and all items and inspections together."""

    def __init__(self, register: Register, wanted: Sequence[QueuedLabel], today: date) -> None:
        self._register = register
        self._rows = LabelRows.of(
            register,
            items=[each.appliance for each in wanted],
            inspections=[each.inspection for each in wanted],
        )
        self._today = today
        self._rules = RuleFinder(register)
        self._people: dict[Uid, Person] = {}
        self._visits: dict[Uid, Visit] = {}

    def at(self, queued: QueuedLabel) -> WaitingLabel:
        item, inspection = self._rows.appliance(queued.appliance), self._rows.inspection(queued.inspection)
        if inspection.person not in self._people:
            self._people[inspection.person] = self._register.get(Person, inspection.person)
        if inspection.visit not in self._visits:
            self._visits[inspection.visit] = self._register.get(Visit, inspection.visit)
        known = self._rows.saved(item.uid)
        standing = standing_among(known)
        without, cause = _told_of_checks(self._rows.findings(queued.inspection), queued.kind)
        return WaitingLabel(
            queued=queued,
            appliance=item,
            site=self._rules.site(item.site),
            room=self._rules.location(item.location).name,
            inspection=inspection,
            person=self._people[inspection.person],
            visit=self._visits[inspection.visit],
            book=load_rule_book(inspection.rule_book),
            without=without,
            cause=cause,
            tested_on=standing.tested_on,
            today=self._today,
            untrue=why_untrue(queued, item, standing, self._today),
        )


def remove_from_tray(register: Register, who: str, *, labels: Iterable[Uid]) -> int:
    """Take waiting labels out of the tray unprinted; returns how many."""
    with register.change(who) as change:
        waiting = [each for each in (register.get(QueuedLabel, uid) for uid in labels) if each.printed_on is None]
        for each in waiting:
            change.remove(each)
    return len(waiting)


def _told_of_checks(findings: Sequence[FindingRecord], kind: LabelKind) -> tuple[tuple[str, ...], str]:
    """Of a pass, the checks that were left out; of a failure, those that failed, each with its reading."""
    if kind is LabelKind.PASS:
        # What was not done has a method only where it was left out, be its reason readable or not.
        undone = (each for each in findings if each.finding == CheckResult.NOT_DONE and each.method)
        return tuple(check_words(each.check_name) for each in undone), ""
    failed = (each for each in findings if each.finding == CheckResult.FAIL)
    return (), "; ".join(f"{check_words(each.check_name)} {reading_words(each)}" for each in failed)


def _next_date(item: Appliance) -> NextDate | None:
    return NextDate.of(item.next_visual, item.next_test)
