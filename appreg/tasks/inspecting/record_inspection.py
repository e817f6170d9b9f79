"""Record a finished inspection: judged here, kept with its limits, next dates and label in one transaction."""

from collections.abc import Callable, Collection, Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from appreg.core.judging.inspection_judging import judge_inspection
from appreg.core.judging.instrument_accuracy import InstrumentAccuracy
from appreg.core.judging.methods import Method, how_measured, method_text
from appreg.core.judging.verdicts import Judgement
from appreg.core.records.appliances import Fact, ItemFacts, ServiceState
from appreg.core.records.checks import Check, Entries
from appreg.core.records.findings import Finding
from appreg.core.records.kept_records import (
    Appliance,
    Category,
    FindingRecord,
    Inspection,
    InspectionKind,
    Instrument,
    QueuedLabel,
    Visit,
)
from appreg.core.records.provenance import assumed_of, assuming
from appreg.core.records.work_records import RemedialAction
from appreg.core.rules.check_rules import CheckRules
from appreg.core.rules.item_facts import facts_of, facts_text
from appreg.core.rules.rule_book import RuleBook
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.outcomes import CheckResult, Outcome
from appreg.core.values.text import clean
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.lists.inspection_lists import Stated, saved_inspections
from appreg.register.lists.sight import Sight
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.find_rules import ItemRules, rules_of
from appreg.tasks.inspecting.ask_for_what_was_begun import failed_before, with_what_was_begun
from appreg.tasks.records.check_record import LONGEST_NOTE
from appreg.tasks.records.state_uncertainty import accuracy_of, stated_uncertainty
from appreg.tasks.standing.keep_remedial_actions import keep_remedial_actions, note_put_right
from appreg.tasks.standing.queue_labels import queue_latest_label
from appreg.tasks.standing.settle_standing import Standing, settled, standing_of

if TYPE_CHECKING:
    from appreg.register.journal.changes import Change


class Said(Struct, frozen=True, kw_only=True):
    """What was said beside the readings, cleaned."""

    remarks: str
    by_check: Mapping[Check, str]
    attempts: Mapping[Check, tuple[str, ...]]
    supersedes: Uid | None
    reason: str


def cleaned_words(
    remarks: str,
    by_check: Mapping[Check, str],
    attempts: Mapping[Check, tuple[str, ...]],
    *,
    supersedes: Uid | None,
    reason: str,
) -> Said:
    """Clean what was said; raises InputRefused naming the field."""
    return Said(
        remarks=clean(remarks, field="remarks", longest=LONGEST_NOTE),
        by_check={check: clean(text, field=f"remark on {check}") for check, text in by_check.items()},
        attempts={
            check: tuple(clean(each, field=f"attempt of {check}") for each in every)
            for check, every in attempts.items()
        },
        supersedes=supersedes,
        reason=clean(reason, field="reason of the correction"),
    )


def cleaned_reasons(entries: Entries) -> Entries:
    """The entries with the reasons for what is left out cleaned; raises InputRefused naming the check."""
    cleaned = {check: clean(text, field=f"reason for leaving out {check}") for check, text in entries.left_out.items()}
    return replace(entries, left_out={check: text for check, text in cleaned.items() if text})


def composed_inspection(
    uid: Uid,
    item: Appliance,
    visit: Visit,
    *,
    kind: InspectionKind,
    facts: ItemFacts,
    judgement: Judgement,
    book: RuleBook,
    said: Said,
    told: str = "",
) -> Inspection:
    """The inspection as it is kept: dated and signed by its visit, with the rules and the item of the day.

    `told` is what facts_text() says of the facts, where somebody has asked already.
    """
    return Inspection(
        uid=uid,
        appliance=item.uid,
        visit=visit.uid,
        date=visit.date,
        kind=kind,
        person=visit.person,
        instrument=visit.instrument,
        rule_book=book.id,
        rule_book_version=book.version,
        outcome=judgement.outcome,
        missing=tuple(each.value for each in judgement.missing),
        advice=(*(doubt.kept for doubt in judgement.doubts), *judgement.advice),
        item_facts=told or facts_text(facts),
        remarks=said.remarks,
        supersedes=said.supersedes,
        reason=said.reason,
    )


def composed_findings(
    new_uid: Callable[[], Uid],
    inspection: Uid,
    judgement: Judgement,
    *,
    facts: ItemFacts,
    book: RuleBook,
    entries: Entries,
    said: Said,
    accuracy: InstrumentAccuracy,
) -> tuple[FindingRecord, ...]:
    """The findings as they are kept, in the order of the checks."""

    def method_of(finding: Finding) -> str:
        if finding.result is CheckResult.NOT_DONE:
            return method_text(Method(left_out=finding.left_out))
        return method_text(how_measured(finding.check, facts, entries, book))

    def composed(at: int, finding: Finding) -> FindingRecord:
        uncertainty, zone = stated_uncertainty(finding, entries, accuracy)
        return FindingRecord(
            uid=new_uid(),
            inspection=inspection,
            position=at,
            check_name=finding.check.value,
            reading=finding.reading,
            unit=str(finding.unit),
            limit_low=finding.limit_low,
            limit_high=finding.limit_high,
            comparison=str(finding.comparison),
            finding=finding.result.value,
            arithmetic=finding.arithmetic,
            source=finding.source,
            basis=str(finding.basis),
            uncertainty=uncertainty,
            zone=str(zone),
            remark=said.by_check.get(finding.check, ""),
            attempts=said.attempts.get(finding.check, ()),
            method=method_of(finding),
        )

    return tuple(composed(at, finding) for at, finding in enumerate(judgement.findings, 1))


class SavedInspection(Struct, frozen=True, kw_only=True):
    """What was kept."""

    inspection: Inspection
    findings: tuple[FindingRecord, ...]
    appliance: Appliance
    """The item with its new state, latest result and next dates."""
    label: QueuedLabel | None
    """None after an incomplete inspection, and where a later result stands."""
    caution: str
    """Why this pass puts the failure that stands not right, and what to do; empty otherwise."""


def record_inspection(
    register: Register,
    who: str,
    *,
    appliance: Uid,
    visit: Uid,
    kind: InspectionKind,
    entries: Entries,
    remarks: str = "",
    check_remarks: Mapping[Check, str] | None = None,
    attempts: Mapping[Check, tuple[str, ...]] | None = None,
    supersedes: Uid | None = None,
    reason: str = "",
    confirmed: Collection[Fact] = (),
    put_right: str = "",
    read_so: Collection[str] = (),
) -> SavedInspection:
    """Judge and keep one inspection; raises InputRefused where it cannot be kept as asked.

    `confirmed` are facts that were assumed of the item and have been read from it now, `put_right` what was done about
    a failure that stands: without it, or a repair recorded before, nothing passes after a failure. `read_so` are the
    words of doubts that the person confirmed: a reading doubted otherwise passes nothing.

    A correction is asked for every check that the record it replaces had begun, a retest for what failed. A failed item is withdrawn; a complete inspection and test that passes returns it. Only a pass moves dates.
    """
    said = cleaned_words(remarks, check_remarks or {}, attempts or {}, supersedes=supersedes, reason=reason)
    with register.change(who) as change:
        known = _known(register, appliance, visit, said=said, confirmed=confirmed)
        entries = _with_what_is_asked_for(register, known, kind, entries, supersedes)
        facts, book, on = known.facts, known.rules.book, known.visit
        accuracy = accuracy_of(register.get(Instrument, on.instrument) if on.instrument else None)
        judgement = judge_inspection(
            CheckRules(facts, book), kind, entries, stated=accuracy, guarded=known.rules.site.guarded, read_so=read_so
        )
        inspection = composed_inspection(
            change.new_uid(), known.item, on, kind=kind, facts=facts, judgement=judgement, book=book, said=said
        )
        findings = composed_findings(
            change.new_uid,
            inspection.uid,
            judgement,
            facts=facts,
            book=book,
            entries=entries,
            said=said,
            accuracy=accuracy,
        )
        return _kept(register, change, known, inspection, findings, put_right=put_right)


class _Known(Struct, frozen=True, kw_only=True):
    """What is known of an item before one more inspection of it is kept."""

    item: Appliance
    visit: Visit
    facts: ItemFacts
    rules: ItemRules
    saved: tuple[Inspection, ...]
    counting: tuple[Inspection, ...]
    others: tuple[Inspection, ...]
    """Those that count beside one that is corrected now."""
    stated: tuple[Stated, ...]
    sight: Sight
    standing: Standing
    """What the others come to."""


def _known(register: Register, appliance: Uid, visit: Uid, *, said: Said, confirmed: Collection[Fact]) -> _Known:
    """Read what is known; raises InputRefused where the inspection belongs to another place or record."""
    item, on = register.get(Appliance, appliance), register.get(Visit, visit)
    category = register.get(Category, item.category) if item.category else None
    if confirmed:
        item = assuming(item, set(assumed_of(item, category)) - set(confirmed))
    known = saved_inspections(register, appliance)
    _refuse_wrong_place(item, on)
    _refuse_wrong_correction(known.counting, on, said)
    others = tuple(each for each in known.counting if each.uid != said.supersedes)
    return _Known(
        item=item,
        visit=on,
        facts=replace(facts_of(item, category), additional_protection=on.additional_protection),
        rules=rules_of(register, item),
        saved=known.saved,
        counting=known.counting,
        others=others,
        stated=known.stated,
        sight=known.sight,
        standing=standing_of(others, known.saved, known.stated, sight=known.sight),
    )


def _with_what_is_asked_for(
    register: Register, known: _Known, kind: InspectionKind, entries: Entries, supersedes: Uid | None
) -> Entries:
    """The entries, asked for what a corrected record had begun and, in a whole inspection, for what failed before."""
    entries = with_what_was_begun(register, cleaned_reasons(entries), known.saved, supersedes)
    if kind is not InspectionKind.COMBINED:
        return entries
    again = failed_before(register, known.standing.failure, known.facts, known.rules.book)
    return replace(entries, begun={**again, **entries.begun})


def _kept(
    register: Register,
    change: "Change",
    known: _Known,
    inspection: Inspection,
    findings: tuple[FindingRecord, ...],
    *,
    put_right: str,
) -> SavedInspection:
    """Put the inspection into the register, with the item, the label and the repair as it leaves them."""
    _refuse_look_after_failure(known.item, inspection, known.standing)
    before = standing_of(known.counting, known.saved, known.stated, sight=known.sight)
    after = standing_of([*known.others, inspection], [*known.saved, inspection], known.stated, sight=known.sight)
    if known.standing.failure is not None and after.failure is None:
        done = clean(put_right, field="what was put right")
        note_put_right(register, change, known.item, known.standing.failure, done=done, on=known.visit.date)
    failed = before.failed_on is not None or _waits_for_test(register, inspection)
    item = _with_state(settled(known.item, after, known.rules), after, failed=failed)
    change.put(inspection)
    for finding in findings:
        change.put(finding)
    change.put(item)
    mended = before.failed_on is not None and after.failed_on is None
    label = None
    if after.last is not None and (mended or after.last != before.last):
        label = queue_latest_label(register, change, after.last)
    returned = after.last if failed and _passed(after) else None
    keep_remedial_actions(register, change, inspection, findings, stands=after.failure, returned=returned)
    return SavedInspection(
        inspection=inspection,
        findings=findings,
        appliance=item,
        label=label,
        caution=_still_failed(known.item, inspection, after.failed_on),
    )


def _refuse_wrong_place(item: Appliance, visit: Visit) -> None:
    if item.site != visit.site:
        raise InputRefused(f"{item.tag} does not belong to the site of this visit; move it there or start a visit.")
    if item.state is ServiceState.DISPOSED:
        raise InputRefused(f"{item.tag} is recorded as disposed of; set its state before inspecting it.")


def _refuse_wrong_correction(counting: Sequence[Inspection], visit: Visit, said: Said) -> None:
    if said.supersedes is None:
        if said.reason:
            raise InputRefused("reason of the correction: no inspection is named that this one replaces.")
        return
    if not said.reason:
        raise InputRefused("reason of the correction: nothing is typed; say why the earlier record is replaced.")
    original = next((each for each in counting if each.uid == said.supersedes), None)
    if original is None:
        raise InputRefused(
            "The inspection to be corrected is not one that counts for this item; choose it from its history."
        )
    if original.visit != visit.uid:
        raise InputRefused("A correction belongs to the visit of the record it replaces; choose that visit.")


def _refuse_look_after_failure(item: Appliance, inspection: Inspection, before: Standing) -> None:
    looked = inspection.kind is InspectionKind.VISUAL and inspection.outcome is Outcome.PASS
    if looked and before.failed_on is not None:
        raise InputRefused(
            f"{item.tag} failed on {date_words(before.failed_on)}: a visual inspection alone cannot put that right; "
            "after the repair record a combined inspection and test."
        )


def _waits_for_test(register: Register, inspection: Inspection) -> bool:
    """A failure that was corrected to doubt left its repair open: a whole test that passes returns the item."""
    whole = inspection.kind is InspectionKind.COMBINED
    return whole and bool(register.find(RemedialAction, appliance=inspection.appliance, closed_by=None))


def _with_state(item: Appliance, after: Standing, *, failed: bool) -> Appliance:
    """Withdraw what fails; return what was withdrawn by a failure, or missing, once it has passed."""
    if after.failed_on is not None:
        return replace(item, state=ServiceState.WITHDRAWN)
    withdrawn_by_failure = item.state is ServiceState.WITHDRAWN and failed
    returns = withdrawn_by_failure or item.state is ServiceState.MISSING
    return replace(item, state=ServiceState.IN_SERVICE) if returns and _passed(after) else item


def _passed(after: Standing) -> bool:
    return after.failed_on is None and after.last is not None and after.last.outcome is Outcome.PASS


def _still_failed(item: Appliance, inspection: Inspection, failure: date | None) -> str:
    passed = inspection.outcome is Outcome.PASS and inspection.kind is InspectionKind.COMBINED
    if not passed or failure is None:
        return ""
    return (
        f"{item.tag} passed, but on a visit of {date_words(inspection.date)}, before its failure of "
        f"{date_words(failure)}: the failure stands. If the date is wrong, set this machine's clock right or start "
        "a visit with the right date, and inspect it there."
    )
