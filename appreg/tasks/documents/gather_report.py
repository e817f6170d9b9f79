"""Gather what the report of a visit or a job shows."""

from collections.abc import Collection, Iterable, Iterator, Sequence
from datetime import date
from typing import Final, TypeVar

from msgspec import structs

from appreg.core.records.appliances import ServiceState
from appreg.core.records.job_records import Firm, Job
from appreg.core.records.kept_records import (
    Appliance,
    AssetTag,
    Client,
    Inspection,
    InspectionKind,
    Instrument,
    Location,
    Person,
    Site,
    Visit,
)
from appreg.core.records.work_records import NotInspected
from appreg.core.rules.interval_tables import LandlordProfile
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.rules.rule_values import Basis
from appreg.core.values.asset_tags import tag_order
from appreg.core.values.dates_in_words import DateForm, date_words
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid
from appreg.errors import Incomplete
from appreg.paper.documents.item_lines import InspectedItem
from appreg.paper.documents.report_content import OutOfReach, ReportDocument, ReportedVisit
from appreg.paper.documents.report_fields import refuse_if_missing
from appreg.register.lists.appliance_lists import appliances_of
from appreg.register.lists.damaged_items import refuse_stray_records
from appreg.register.lists.inspection_lists import findings_of, inspections_of_visit, is_withdrawn
from appreg.register.opening.register_file import Register
from appreg.schedule.interval_choice import interval_table
from appreg.tasks.desk.find_rules import profile_at
from appreg.tasks.documents.gather_documents import DocumentGatherer, table_words
from appreg.tasks.inspecting.record_not_inspected import not_inspected_on
from appreg.tasks.records.look_up_figure import sources_looked_up

T = TypeVar("T", Person, Instrument)
_CORRECTED: Final = "corrected"


def refuse_unreportable(document: ReportDocument) -> None:
    """Raise Incomplete where nothing was done, or naming what a statute asks for and is missing."""
    if not document.items and not document.not_inspected:
        raise Incomplete(
            f"Nothing was inspected at {document.site.name} on {document.days}: "
            "record an inspection before the report is written."
        )
    refuse_if_missing(document)


def gathered_report(
    register: Register, *, visits: Sequence[Visit], job: Job | None = None, today: date
) -> ReportDocument:
    """All that the report of visits to one site shows, the earliest first; a corrected inspection gives way to its correction."""
    refuse_stray_records(register)
    site = register.get(Site, visits[0].site)
    book = load_rule_book(site.rule_book)
    profile = profile_at(site, book)
    gatherer = DocumentGatherer(register, book.date_form)
    shown = _ShownItems(register, visits, gatherer)
    earlier = _in_order(shown.earlier(book.date_form))
    items = _in_order(shown.lines())
    people, days = shown.people(), shown.days_of_instruments()
    firm = register.find(Firm)
    return ReportDocument(
        visits=tuple(_reported(register, each) for each in visits),
        other_people=_besides(register, Person, people, {each.person for each in visits}),
        other_instruments=_besides(register, Instrument, days, {each.instrument for each in visits}),
        used_on=tuple(days.items()),
        beside=tuple(_reported(register, each) for each in _others_of_the_days(register, visits)),
        job=job,
        firm=firm[0] if firm else None,
        site=site,
        client=register.get(Client, site.client),
        items=items,
        earlier=earlier,
        not_inspected=_out_of_reach(register, visits, shown.inspected, book.date_form),
        untouched=_untouched(register, site, visits, shown.inspected) if job is not None else 0,
        rules=gatherer.rules_in_words(),
        looked_up=sources_looked_up(register, gatherer.books(), book.date_form),
        interval_table=table_words(interval_table(book, site.interval_table)),
        defects=_defects(items, earlier),
        remedial_action=_remedial_action((*earlier, *items)),
        profile_title=profile.title if profile else "",
        required=tuple(each.value for each in profile.required_fields) if profile else (),
        keeping=_keeping(profile) if profile else "",
        dates=book.date_form,
        printed=today,
    )


def _besides(register: Register, kind: type[T], used: Iterable[Uid], named: Collection[Uid | None]) -> tuple[T, ...]:
    """Records that inspections name and no visit does: person and instrument of a visit may be changed within its day."""
    return tuple(register.get(kind, each) for each in used if each not in named)


def _others_of_the_days(register: Register, visits: Sequence[Visit]) -> list[Visit]:
    """Visits to the site on the same days that inspected something and are not among these."""
    told, days = {each.uid for each in visits}, dict.fromkeys(each.date for each in visits)
    found = [each for day in days for each in register.find(Visit, site=visits[0].site, date=day)]
    return [each for each in found if each.uid not in told and inspections_of_visit(register, each.uid)]


def _reported(register: Register, visit: Visit) -> ReportedVisit:
    return ReportedVisit(
        visit=visit,
        person=register.get(Person, visit.person),
        instrument=register.get(Instrument, visit.instrument) if visit.instrument else None,
    )


class _ShownItems:
    """The inspections of visits: of each item the one that counts, and the failures that came before it."""

    def __init__(self, register: Register, visits: Sequence[Visit], gatherer: DocumentGatherer) -> None:
        self._register = register
        self._gatherer = gatherer
        self._recorded = [
            each
            for visit in visits
            for each in inspections_of_visit(register, visit.uid, effective=False)
            if not is_withdrawn(register, each.uid)
        ]
        self._effective = [each for visit in visits for each in inspections_of_visit(register, visit.uid)]
        self._counting = {each.appliance: each for each in self._effective}

    @property
    def inspected(self) -> frozenset[Uid]:
        """The items that were inspected."""
        return frozenset(self._counting)

    def people(self) -> Iterable[Uid]:
        """Whoever made an inspection that is told of."""
        return dict.fromkeys(each.person for each in self._told())

    def days_of_instruments(self) -> dict[Uid, date]:
        """What was measured with, each with the last day of that."""
        days: dict[Uid, date] = {}
        for each in self._told():
            if each.instrument is not None and each.kind is InspectionKind.COMBINED:
                days[each.instrument] = max(each.date, days.get(each.instrument, each.date))
        return days

    def _told(self) -> list[Inspection]:
        counting = {each.uid for each in self._effective}
        return [each for each in self._recorded if each.uid in counting or self._is_earlier(each)]

    def lines(self) -> Iterator[InspectedItem]:
        """A line for each item; one that was looked at after it had been tested has the readings of the test as well."""
        for each in self._counting.values():
            line = self._line(each)
            test = self._test_before(each)
            yield structs.replace(line, tested=tuple(findings_of(self._register, test.uid))) if test else line

    def earlier(self, dates: DateForm) -> Iterator[InspectedItem]:
        """The failures that something followed."""
        for each in self._recorded:
            if self._is_earlier(each):
                yield structs.replace(self._line(each), note=_what_followed(each, self._recorded, dates))

    def _is_earlier(self, each: Inspection) -> bool:
        return each.outcome is Outcome.FAIL and each.uid != self._counts(each)

    def _counts(self, each: Inspection) -> Uid | None:
        counting = self._counting.get(each.appliance)
        return counting.uid if counting is not None else None

    def _line(self, each: Inspection) -> InspectedItem:
        return self._gatherer.line(self._register.get(Appliance, each.appliance), each)

    def _test_before(self, look: Inspection) -> Inspection | None:
        """The test of the same work that a later look would hide."""
        tests = [
            each
            for each in self._effective
            if each.appliance == look.appliance and each.kind is InspectionKind.COMBINED
        ]
        return tests[-1] if tests and look.kind is InspectionKind.VISUAL else None


def _keeping(profile: LandlordProfile) -> str:
    if profile.keep_years is None:
        return ""
    basis = profile.citation_of("keep_years").basis
    first = ", from memory: local rules come first" if basis is Basis.MEMORY else ""
    return f"Keep a copy of this report for {profile.keep_years} years ({profile.title}{first})."


def _out_of_reach(
    register: Register, visits: Sequence[Visit], inspected: frozenset[Uid], dates: DateForm
) -> tuple[OutOfReach, ...]:
    """What no visit inspected, with the last reason that was given."""
    last = {each.appliance: each for visit in visits for each in not_inspected_on(register, visit.uid)}
    rows = [
        _row_out_of_reach(register, each, dates if len(visits) > 1 else None)
        for each in last.values()
        if each.appliance not in inspected
    ]
    return tuple(sorted(rows, key=lambda row: tag_order(AssetTag(row.tag))))


def _row_out_of_reach(register: Register, each: NotInspected, dates: DateForm | None) -> OutOfReach:
    item = register.get(Appliance, each.appliance)
    when = date_words(each.date, dates) if dates is not None else ""
    because = ", ".join(part for part in (each.because.value, each.note, when) if part)
    place = register.get(Location, item.location).name
    return OutOfReach(tag=item.tag, name=item.name, location=place, because=because)


def _untouched(register: Register, site: Site, visits: Sequence[Visit], inspected: frozenset[Uid]) -> int:
    """How many items in service the visits say nothing of."""
    said = {each.appliance for visit in visits for each in register.find(NotInspected, visit=visit.uid)} | inspected
    serving = [each for each in appliances_of(register, site=site.uid) if each.state is ServiceState.IN_SERVICE]
    return sum(each.uid not in said for each in serving)


def _in_order(lines: Iterable[InspectedItem]) -> tuple[InspectedItem, ...]:
    return tuple(sorted(lines, key=lambda line: tag_order(line.appliance.tag)))


def _what_followed(failure: Inspection, recorded: Sequence[Inspection], dates: DateForm) -> str:
    """What a later record says of a failure: no record takes it off the report."""
    correction = next((each for each in recorded if each.supersedes == failure.uid), None)
    if correction is not None:
        return f"{_CORRECTED}, then {correction.outcome}: {correction.reason}"
    later = [each for each in recorded if each.appliance == failure.appliance and each.uid != failure.uid]
    again = "inspected again" if later and later[-1].kind is InspectionKind.VISUAL else "inspected and tested again"
    return f"{again} on {_day_of(later[-1] if later else failure, dates)}, see below"


def _day_of(inspection: Inspection, dates: DateForm) -> str:
    return date_words(inspection.date, dates)


def _defects(items: tuple[InspectedItem, ...], earlier: tuple[InspectedItem, ...]) -> str:
    slips = [line.appliance.tag for line in earlier if _is_slip(line)]
    failed = dict.fromkeys(line.appliance.tag for line in (*earlier, *items) if _is_defect(line))
    incomplete = [
        line.appliance.tag for line in items if line.inspection and line.inspection.outcome is Outcome.INCOMPLETE
    ]
    said = f"Defects were found on {', '.join(failed)}." if failed else "No defects were found."
    if slips:
        said += f" A failure recorded of {', '.join(slips)} was corrected, as listed above."
    if incomplete:
        return f"{said} The inspection of {', '.join(incomplete)} is incomplete and proves nothing."
    return said


def _is_defect(line: InspectedItem) -> bool:
    return line.defective and not _is_slip(line)


def _is_slip(line: InspectedItem) -> bool:
    """A failure that was corrected before anybody put something right."""
    return line.note.startswith(_CORRECTED) and "repaired" not in line.remedial_action


def _remedial_action(items: tuple[InspectedItem, ...]) -> str:
    defective = [line for line in items if _is_defect(line)]
    if not defective:
        return "None was called for by a defect."
    return " ".join(f"{line.appliance.tag}: {_action(line)}." for line in defective)


def _action(line: InspectedItem) -> str:
    """What was done about a defect, on the spot first."""
    return "; ".join((*line.put_right, *([line.remedial_action] if line.failed else ())))
