"""Gather what documents show of items: records joined, rules in words."""

from collections.abc import Iterable
from datetime import date

from appreg.core.records.appliances import ServiceState
from appreg.core.records.checks import Check
from appreg.core.records.kept_records import Appliance, Inspection, InspectionKind, Instrument, Person
from appreg.core.records.seals import document_seal
from appreg.core.records.stated_words import stated_words
from appreg.core.records.work_records import RemedialAction
from appreg.core.rules.interval_tables import Interval, IntervalAnswer, IntervalTable
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.dates_in_words import DateForm, date_words
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid
from appreg.paper.documents.document_state import DocumentState
from appreg.paper.documents.item_lines import InspectedItem, LastTime
from appreg.register.journal.journal_ends import in_journal_order, places_of, present_seal
from appreg.register.lists.inspection_lists import effective_inspections, findings_of, stated_of
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.find_rules import RuleFinder
from appreg.tasks.inspecting.list_repairs import put_right_by
from appreg.tasks.standing.settle_standing import read_standing


class DocumentGatherer:
    """Joins items with their inspections, reading each person and instrument once."""

    def __init__(self, register: Register, dates: DateForm) -> None:
        """Gather from this register, with dates written so."""
        self._register = register
        self._dates = dates
        self._rules = RuleFinder(register)
        self.people: dict[Uid, Person] = {}
        self.instruments: dict[Uid, Instrument] = {}
        self._books: dict[str, str] = {}

    def line(self, item: Appliance, inspection: Inspection | None, *, with_test: bool = False) -> InspectedItem:
        """One line of a document: the item as one inspection found it.

        `with_test`: of one that only looked, the findings of the last test too.
        """
        location = self._rules.location(item.location).name
        interval = self._interval(item)
        stated = self._stated(item, inspection)
        if inspection is None:
            return InspectedItem(appliance=item, location=location, interval=interval, stated=stated, dates=self._dates)
        self._books[inspection.rule_book_version] = inspection.rule_book
        until = [
            each
            for each in effective_inspections(self._register, item.uid)
            if each.date <= inspection.date or with_test
        ]
        test = self._last(each for each in until if each.kind is InspectionKind.COMBINED)
        looked = inspection.kind is InspectionKind.VISUAL
        return InspectedItem(
            appliance=item,
            location=location,
            inspection=inspection,
            findings=tuple(findings_of(self._register, inspection.uid)),
            person=self._person(inspection.person).initials,
            instrument=self._instrument(inspection.instrument).serial if inspection.instrument else "",
            interval=interval,
            last_test=test,
            last_look=self._last(each for each in until if _is_look(each)),
            tested=tuple(findings_of(self._register, test.inspection.uid)) if test and looked and with_test else (),
            corrected=self._corrected(inspection),
            stated=stated if with_test else "",
            remedial_action=self._remedial_action(item, inspection),
            dates=self._dates,
        )

    def _stated(self, item: Appliance, inspection: Inspection | None) -> str:
        """The failure that stands as another states it, else the latest stated, later than the inspection shown."""
        told = stated_of(self._register, item.uid)
        failure = read_standing(self._register, item.uid).stated_failure if told else None
        if failure is not None:
            return stated_words(failure, self._dates)
        newer = told and (inspection is None or told[0].on > inspection.date)
        return stated_words(told[0], self._dates) if newer else ""

    def _last(self, inspections: Iterable[Inspection]) -> LastTime | None:
        last = next(iter(inspections), None)
        return None if last is None else LastTime(inspection=last, person=self._person(last.person).initials)

    def _corrected(self, inspection: Inspection) -> str:
        """On which day an inspection was corrected, as the journal has it, and why."""
        if inspection.supersedes is None:
            return ""
        place = places_of(self._register, Inspection, (inspection.uid,))[inspection.uid]
        on = date_words(date.fromisoformat(place[:10]), self._dates) if place else "a day that is not known"
        return f"corrected on {on}, because: {inspection.reason or 'no reason given'}"

    def rules_in_words(self) -> tuple[str, ...]:
        """The rule books that the gathered inspections were judged by, each with its version."""
        return tuple(load_rule_book(book).named(version) for version, book in sorted(self._books.items()))

    def books(self) -> tuple[RuleBook, ...]:
        """The rule books that the gathered inspections were judged by, where they are still of that version."""
        books = ((version, load_rule_book(book)) for version, book in sorted(self._books.items()))
        return tuple(book for version, book in books if book.version == version)

    def _person(self, uid: Uid) -> Person:
        if uid not in self.people:
            self.people[uid] = self._register.get(Person, uid)
        return self.people[uid]

    def _instrument(self, uid: Uid) -> Instrument:
        if uid not in self.instruments:
            self.instruments[uid] = self._register.get(Instrument, uid)
        return self.instruments[uid]

    def _interval(self, item: Appliance) -> str:
        answer = self._rules.answer(item)
        reason, profile = item.longer_interval_reason, self._rules.profile(item)
        most = profile.test_max if profile is not None else None
        parts = [
            answer.title,
            f"visual {_words(answer.visual)}",
            f"test {_words(answer.test)}{' by the table' if answer.test is None and most else ''}",
            f"longer end, because {reason}" if reason else "",
            *(f"{what}: {each.by_hand}" for what, each in _by_hand(answer)),
            f"{'but ' if answer.test is None else ''}{profile.title}: at most {most.words} between tests"
            if profile and most
            else "",
        ]
        return ", ".join(part for part in parts if part)

    def _remedial_action(self, item: Appliance, inspection: Inspection) -> str:
        if inspection.outcome is not Outcome.FAIL:
            return ""
        done: list[str] = []
        for action in in_journal_order(self._register, self._register.find(RemedialAction, inspection=inspection.uid)):
            by = put_right_by(self._rules.profile(item), item, action.opened_on)
            done.extend(_action_words(action, by, self._dates))
        if done:
            return "; ".join(done)
        return "withdrawn from use" if item.state is ServiceState.WITHDRAWN else str(item.state)


def table_words(table: IntervalTable) -> str:
    """Title and edition of an interval table."""
    return f"{table.title}, {table.edition}" if table.edition else table.title


def present_state(register: Register, today: date) -> DocumentState | None:
    """What a document says that is printed without being issued; None where the journal's last line cannot be read.

    Asked for before the document is gathered: its seal is of a history that the document certainly holds.
    """
    seal = present_seal(register)
    return None if seal is None else DocumentState(on=today, seal=document_seal(register.origin, seal))


def _action_words(action: RemedialAction, by: date | None, dates: DateForm) -> Iterable[str]:
    yield "withdrawn from use"
    if by is not None:
        yield f"to be put right by {date_words(by, dates)}"
    if action.told:
        yield f"told {action.told}"
    if action.repair:
        on = f" on {date_words(action.repaired_on, dates)}" if action.repaired_on else ""
        yield f"repaired{on}: {action.repair}"
    if action.closed_by:
        yield "passed again"


def _by_hand(answer: IntervalAnswer) -> Iterable[tuple[str, Interval]]:
    """The intervals that are set by hand, each with its author, reason and signature."""
    return [
        (what, each)
        for what, each in (("visual", answer.visual), ("test", answer.test))
        if each is not None and each.by_hand
    ]


def _is_look(inspection: Inspection) -> bool:
    """A formal visual inspection alone, or as the beginning of an inspection and test."""
    return inspection.kind is InspectionKind.VISUAL or Check.VISUAL not in inspection.missing


def _words(interval: Interval | None) -> str:
    return "none needed" if interval is None else interval.words
