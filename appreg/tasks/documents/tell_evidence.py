"""Tell what past inspections say of each interval, on a sheet that a duty holder may sign from."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Final

from appreg.core.records.work_records import IntervalKind
from appreg.core.values.dates_in_words import DateForm
from appreg.core.values.told_tables import CellKind, Row, TableColumn, ToldTable, one_group
from appreg.paper.documents.item_words import NEXT_WORDS, plain
from appreg.paper.documents.list_content import ListDocument
from appreg.paper.page.table_drawing import LINES
from appreg.register.lists.damaged_items import refuse_stray_records
from appreg.register.opening.register_file import Register
from appreg.schedule.evidence import METHOD, PROMISE, USUAL_CONFIDENCE, USUAL_TARGET, Advice
from appreg.schedule.interval_overrides import since_words
from appreg.tasks.documents.paper_kinds import Asked
from appreg.tasks.documents.tell_sites import date_form_of, title_of
from appreg.tasks.planning.weigh_evidence import EvidenceGroup, weigh_evidence

_COLUMNS: Final = (
    TableColumn(name="items_like", head="like items", kind=CellKind.TAG, weight=36),
    TableColumn(name="environment", head="environment", weight=26),
    TableColumn(name="interval", head="of", weight=22),
    TableColumn(name="now", head="now", weight=18),
    TableColumn(name="items", head="items", kind=CellKind.NUMBER, weight=12),
    TableColumn(name="inspections", head="inspected", kind=CellKind.NUMBER, weight=15),
    TableColumn(name="failures", head="failed", kind=CellKind.NUMBER, weight=12),
    TableColumn(name="rate_low", head="rate, at least", unit="%", kind=CellKind.NUMBER, weight=15),
    TableColumn(name="rate_high", head="rate, at most", unit="%", kind=CellKind.NUMBER, weight=15),
    TableColumn(name="answer", head="answer", weight=26, loud=(Advice.SHORTEN.value, Advice.LENGTHEN.value)),
    TableColumn(name="suggested", head="suggested", weight=20),
    TableColumn(name="because", head="because", weight=58),
)
_INTERVAL_OF: Final = {
    IntervalKind.VISUAL: NEXT_WORDS["visual"].removeprefix("next "),
    IntervalKind.TEST: NEXT_WORDS["test"].removeprefix("next "),
}
_CENT: Final = Decimal("0.01")


def evidence_document(register: Register, asked: Asked, today: date) -> ListDocument:
    """Every group of like items with its counts and what follows; raises RegisterUnusable."""
    refuse_stray_records(register)
    groups = weigh_evidence(register, site=asked.site)
    return evidence_list(
        groups, title=title_of(register, asked.site), dates=date_form_of(register, asked.site), today=today
    )


def evidence_list(
    groups: Sequence[EvidenceGroup],
    *,
    title: str,
    target: Decimal = USUAL_TARGET,
    confidence: Decimal = USUAL_CONFIDENCE,
    dates: DateForm = DateForm.WORDS,
    today: date,
) -> ListDocument:
    """Groups that were weighed, at the failure rate that is accepted and the confidence that is asked for, as a list."""
    table = ToldTable(
        title="Intervals",
        columns=_COLUMNS,
        groups=one_group(tuple(_row(group) for group in groups)),
        none="there is nothing to weigh: no item in use has an interval",
    )
    windows = dict.fromkeys(group.window.words for group in groups)
    return ListDocument(
        kind="Evidence on intervals",
        title=title,
        subtitle=f"Target {plain(target * 100)} % failures, confidence {plain(confidence * 100)} %",
        counts=(
            (len(groups), "groups of like items"),
            (sum(group.evidence.advice is Advice.SHORTEN for group in groups), "should be shortened"),
            (sum(group.evidence.advice is Advice.LENGTHEN for group in groups), "may be lengthened"),
        ),
        tables=(table,),
        after=(
            "A suggestion changes nothing until a person accepts it, and the duty holder decides.",
            *(f"Counted: what was found {words}; time is weighed, an interval at most each." for words in windows),
            METHOD,
            PROMISE,
        ),
        density=LINES,
        across=True,
        dates=dates,
        printed=today,
    )


def _row(group: EvidenceGroup) -> Row:
    evidence, counts = group.evidence, group.evidence.counts
    limits = evidence.limits
    return (
        group.title,
        group.environment,
        _INTERVAL_OF[group.what],
        group.now.words,
        len(group.items),
        counts.inspections,
        counts.failures,
        _percent(limits.lower) if limits else None,
        _percent(limits.upper) if limits else None,
        evidence.advice.value,
        group.suggestion.words if group.suggestion else "",
        _because(group),
    )


def _percent(share: float) -> Decimal:
    return (Decimal(str(share)) * 100).quantize(_CENT)


def _because(group: EvidenceGroup) -> str:
    parts = (
        f"{group.evidence.sentence}",
        f"not longer: {group.held}" if group.held else "",
        f"a duty holder has to sign, {group.must_sign}" if group.must_sign else "",
        since_words(group.set_by_hand) if group.set_by_hand else "",
    )
    return "; ".join(part for part in parts if part)
