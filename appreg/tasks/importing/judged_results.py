"""Results judged as what is typed on the Bench is, what does not depend on a reading worked out once for items alike."""

from collections.abc import Callable, Mapping
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from appreg.core.judging.inspection_judging import judge_inspection
from appreg.core.judging.verdicts import Judgement
from appreg.core.records.appliances import ItemFacts
from appreg.core.records.checks import Check, Entries
from appreg.core.records.kept_records import Appliance, FindingRecord, Inspection, InspectionKind, Instrument, Visit
from appreg.core.rules.check_rules import CheckRules
from appreg.core.rules.rule_book import RuleBook
from appreg.core.values.outcomes import CheckResult, Outcome
from appreg.core.values.uids import Uid
from appreg.paper.documents.item_words import check_words, reading_words
from appreg.tasks.importing.result_values import StatedResult
from appreg.tasks.inspecting.record_inspection import Said, composed_findings, composed_inspection
from appreg.tasks.records.state_uncertainty import accuracy_of

_KEPT: Final = 20_000
"""Judgements that are kept: of many items alike the same few readings come again and again."""
_NOBODY: Final = Uid("0" * 26)
_NOTHING_SAID: Final = Said(remarks="", by_check={}, attempts={}, supersedes=None, reason="")


class Judged(Struct, frozen=True, kw_only=True):
    """What the readings of one row come to, with the findings as they are kept but for their keys."""

    judgement: Judgement
    told: str
    """The facts of the item, as they are kept."""
    findings: tuple[FindingRecord, ...]

    @property
    def outcome(self) -> Outcome:
        """What it comes to."""
        return self.judgement.outcome

    @property
    def marks(self) -> tuple[tuple[str, str, str], ...]:
        """By check what was read and how: two inspections with the same were read off alike."""
        return marks_of(self.findings)


def marks_of(findings: tuple[FindingRecord, ...]) -> tuple[tuple[str, str, str], ...]:
    """By check what was read and how, of kept findings; what was not done is not among them."""
    return tuple(sorted((each.check_name, each.reading, each.method) for each in findings if each.reading))


class Judge:
    """Judges rows of results."""

    def __init__(self) -> None:
        """Know nothing yet."""
        self._rules: dict[tuple[str, str], CheckRules] = {}
        self._judged: dict[object, Judged] = {}

    def judged(
        self,
        row: StatedResult,
        kind: InspectionKind,
        *,
        facts: ItemFacts,
        told: str,
        book: RuleBook,
        instrument: Instrument | None,
        guarded: bool,
        begun: Mapping[Check, int],
    ) -> Judged:
        """What a row comes to; `told` is what facts_text() says. Raises InputRefused where a visual inspection brings readings."""
        rules = self._rules.get((told, book.id))
        if rules is None:
            rules = self._rules[told, book.id] = CheckRules(facts, book)
        key = (told, book.id, kind, row.checks, instrument.uid if instrument else "", guarded)
        if begun:
            return _judged(row.read.entries, kind, rules, told, instrument, guarded=guarded, begun=begun)
        found = self._judged.get(key)
        if found is None:
            if len(self._judged) >= _KEPT:
                self._judged.clear()
            found = _judged(row.read.entries, kind, rules, told, instrument, guarded=guarded, begun={})
            self._judged[key] = found
        return found


def _judged(
    typed: Entries,
    kind: InspectionKind,
    rules: CheckRules,
    told: str,
    instrument: Instrument | None,
    *,
    guarded: bool,
    begun: Mapping[Check, int],
) -> Judged:
    entries = replace(typed, begun=dict(begun))
    accuracy = accuracy_of(instrument)
    judgement = judge_inspection(rules, kind, entries, stated=accuracy, guarded=guarded)
    findings = composed_findings(
        lambda: _NOBODY,
        _NOBODY,
        judgement,
        facts=rules.facts,
        book=rules.book,
        entries=entries,
        said=_NOTHING_SAID,
        accuracy=accuracy,
    )
    return Judged(judgement=judgement, told=told, findings=findings)


def composed(
    new_uid: Callable[[], Uid],
    item: Appliance,
    visit: Visit,
    judged: Judged,
    *,
    kind: InspectionKind,
    facts: ItemFacts,
    book: RuleBook,
    remarks: str,
) -> tuple[Inspection, tuple[FindingRecord, ...]]:
    """The inspection and its findings as they are kept."""
    inspection = composed_inspection(
        new_uid(),
        item,
        visit,
        kind=kind,
        facts=facts,
        judgement=judged.judgement,
        book=book,
        said=replace(_NOTHING_SAID, remarks=remarks),
        told=judged.told,
    )
    return inspection, tuple(replace(each, uid=new_uid(), inspection=inspection.uid) for each in judged.findings)


def disagreement(stated: Outcome | None, judged: Judged) -> str:
    """How what a row states differs from what its readings come to, and by which of them; empty where it does not."""
    if stated is None or stated is judged.outcome:
        return ""
    if judged.outcome is Outcome.PASS:
        return f"stated as {stated}, but its readings pass"
    failed = [
        f"{check_words(each.check_name)} {reading_words(each)}, {each.arithmetic} ({each.source})".replace(" ,", ",")
        for each in judged.findings
        if each.finding == CheckResult.FAIL
    ]
    if judged.outcome is Outcome.FAIL:
        return f"stated as {stated}, but it fails: {'; '.join(failed)}"
    open_checks = [
        check_words(each.check_name)
        for each in judged.findings
        if each.finding == CheckResult.INCONCLUSIVE or each.check_name in judged.judgement.missing
    ]
    return f"stated as {stated}, but nothing proves it: {', '.join(open_checks)}"
