"""Put labels into the tray, see what waits there, and take them out."""

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from datetime import date
from functools import partial
from typing import TYPE_CHECKING, Final

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
    StatedInspection,
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
from appreg.tasks.standing.stated_failures import (
    is_stated_label,
    note_stated_label,
    readable_stated_failures,
    stated_label,
    stated_label_waits,
)

if TYPE_CHECKING:
    from appreg.register.journal.changes import Change

_BY_ANOTHER: Final = "stated by another"
"""On the label of a failure that another states, in the place of whoever found it."""


class WaitingLabel(Struct, frozen=True, kw_only=True):
    """A label in the tray with all that will stand on it."""

    queued: QueuedLabel
    appliance: Appliance
    site: Site
    room: str = ""
    """Name of the item's location."""
    inspection: Inspection | None
    """None: of a failure that another states."""
    person: Person | None
    visit: Visit | None
    stated: StatedInspection | None = None
    """The failure, where another states it."""
    book: RuleBook
    """The rule book of the inspection, else of the site."""
    without: tuple[str, ...] = ()
    """The checks that the inspection left out with a reason, in words."""
    cause: str = ""
    """Of a failure: each check that failed, with its reading."""
    tested_on: date | None = None
    """The last passed inspection with test."""
    today: date
    has_own_failure: bool = False
    """Of a failure that another states: one that was found here stands too, and has a label of its own."""
    untrue: str = ""
    """Why it must not be printed as things stand, in words that follow 'it'; empty: it tells the truth."""

    @property
    def on(self) -> date:
        """The day of the inspection, or of the failure as it is stated."""
        return self.inspection.date if self.inspection else self.stated.on if self.stated else self.today

    @property
    def _by(self) -> str:
        return self.person.initials if self.person else _BY_ANOTHER

    def text(self, *, with_next_date: bool = False) -> LabelText:
        """The label as it will be printed; the next date where it or the book asks, and never on a failed item."""
        passed = self.queued.kind is LabelKind.PASS
        dated = with_next_date or LabelField.NEXT_DATE in self.book.label_fields
        return LabelText(
            tag=self.appliance.tag,
            kind=self.queued.kind,
            site=self.site.name,
            on=self.on,
            initials=self._by,
            item=self.appliance.name,
            looked_only=passed and self._only_looked,
            tested_on=self.tested_on,
            test_overdue_since=self.appliance.next_test if is_overdue(self.appliance.next_test, self.today) else None,
            next_date=_next_date(self.appliance) if dated and passed else None,
            cause=self.cause,
            ask="" if passed else whom_to_ask(self.site, self.person),
            tester=self._tester(),
            colour=self.visit.period_colour if passed and self.visit else "",
            without=self.without if passed else (),
            dates=self.book.date_form,
            payload=code_text(self.appliance.tag, self.appliance.uid),
        )

    @property
    def _only_looked(self) -> bool:
        return self.inspection is not None and self.inspection.kind is InspectionKind.VISUAL

    def _tester(self) -> str:
        if self.person is None:
            return ""
        wanted, firm = self.book.label_fields, self.person.firm
        name = self.person.name if LabelField.TESTER in wanted else ""
        return ", ".join(part for part in (name, firm) if part) if name or LabelField.FIRM in wanted else ""

    def lacks(self) -> tuple[LabelField, ...]:
        """What the rule book wants named and the register does not hold."""
        passed, wanted = self.queued.kind is LabelKind.PASS, self.book.label_fields
        undated = passed and LabelField.NEXT_DATE in wanted and _next_date(self.appliance) is None
        unsigned = LabelField.FIRM in wanted and self.person is not None and not self.person.firm
        return ((LabelField.FIRM,) if unsigned else ()) + ((LabelField.NEXT_DATE,) if undated else ())


def whom_to_ask(site: Site, finder: Person | None) -> str:
    """Whom a failed item's label and notice name: whoever sees to it at the site, else whoever found the fault."""
    named = ", ".join(part for part in (site.responsible, site.responsible_contact) if part)
    if named or finder is None:
        return named or "whoever keeps the register"
    return finder.firm or finder.name


def queue_labels(register: Register, who: str, *, appliances: Iterable[Uid], today: date) -> tuple[QueuedLabel, ...]:
    """Queue the label that each item may bear: a pass only in service and in date after one, do not use while a failure stands.

    Items that may bear neither get none: those disposed of, never or not completely inspected, overdue, withdrawn or missing.
    """
    with register.change(who) as change:
        labels = (_label_of(register, change.new_uid, uid, today) for uid in dict.fromkeys(appliances))
        queued = tuple(label for label in labels if label is not None)
        for label in queued:
            _put(register, change, label)
    return queued


def _put(register: Register, change: "Change", label: QueuedLabel) -> None:
    if not is_stated_label(label):
        change.put(label)
    elif not stated_label_waits(register, label.uid):
        note_stated_label(change, register.get(StatedInspection, label.uid), waits=True)


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
    if item.state is ServiceState.DISPOSED:
        return None
    if standing.failure is not None:
        return QueuedLabel(uid=uid, appliance=item.uid, inspection=standing.failure.uid, kind=LabelKind.DO_NOT_USE)
    if standing.stated_failure is not None:
        return stated_label(standing.stated_failure)
    if standing.last is None:
        return None
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
        if label is None or (site and label.site.uid != site) or (visit and label.visit and label.visit.uid != visit):
            continue
        found.append(label)
    if visit is None:
        found += _stated_labels(register, today=today, site=site, printed_too=printed_too)
    return tuple(
        sorted(found, key=lambda each: (each.site.name.casefold(), tag_order(each.appliance.tag), each.queued.uid))
    )


def _stated_labels(
    register: Register, *, today: date, site: Uid | None, printed_too: bool = False
) -> list[WaitingLabel]:
    """The labels of failures that others state, where no failure found here has one."""
    failures = [
        each.stated
        for each in readable_stated_failures(register, site=site)
        if printed_too or stated_label_waits(register, each.stated.uid)
    ]
    look = _Look(register, [stated_label(each) for each in failures], today)
    labels = (read_on(register, "A label", partial(look.stated_at, each)) for each in failures)
    return [label for label in labels if label is not None and not label.has_own_failure]


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


def stated_labels_of(register: Register, keys: Iterable[Uid], today: date) -> dict[Uid, WaitingLabel]:
    """The same of failures that others state, by the keys of what is stated; others are left out."""
    told = [stated for key in keys for stated in register.find(StatedInspection, uid=key)]
    look = _Look(register, [stated_label(each) for each in told], today)
    seen = ((each.uid, read_on(register, "A label", partial(look.stated_at, each))) for each in told)
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

    def stated_at(self, stated: StatedInspection) -> WaitingLabel:
        """The label of a failure that another states."""
        queued, item = stated_label(stated), self._rows.appliance(stated.appliance)
        standing = standing_among(self._rows.saved(item.uid))
        site = self._rules.site(item.site)
        return WaitingLabel(
            queued=queued,
            appliance=item,
            site=site,
            room=self._rules.location(item.location).name,
            inspection=None,
            person=None,
            visit=None,
            stated=stated,
            book=load_rule_book(site.rule_book),
            cause="; ".join(part for part in (stated.remarks, "without readings", stated.stated_by) if part),
            today=self._today,
            untrue=why_untrue(queued, item, standing, self._today),
            has_own_failure=standing.failure is not None,
        )


def remove_from_tray(register: Register, who: str, *, labels: Iterable[Uid]) -> int:
    """Take waiting labels out of the tray unprinted; returns how many."""
    count = 0
    with register.change(who) as change:
        for uid in labels:
            stated = register.find(StatedInspection, uid=uid)
            waiting = [] if stated else [each for each in (register.get(QueuedLabel, uid),) if each.printed_on is None]
            for label in waiting:
                change.remove(label)
            for told in stated:
                note_stated_label(change, told, waits=False)
            count += len(stated) + len(waiting)
    return count


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
