"""The inspections of an item and the findings of one of them, as lists."""

from typing import Final

from appreg.core.dates_in_words import date_words
from appreg.core.methods import kept_readings, left_out_because, method_words
from appreg.core.records import FindingRecord, InspectionKind
from appreg.tasks.open_bench import PastInspection
from appreg.ui.widgets.table_columns import FieldColumn, Tone

KIND_WORDS: Final = {InspectionKind.VISUAL: "look", InspectionKind.COMBINED: "look and test"}

_TONES: Final = {
    "pass": Tone.GOOD,
    "fail": Tone.BAD,
    "incomplete": Tone.WARN,
    "inconclusive": Tone.WARN,
    "not-done": Tone.QUIET,
    "replaced": Tone.QUIET,
    "left-out": Tone.WARN,
}
LEFT_OUT: Final = "left-out"
_SIGNS: Final = {"<=": "≤", ">=": "≥"}


def outcome_tone(words: str) -> Tone:
    """The tone of an outcome or a finding."""
    return _TONES.get(words, Tone.PLAIN)


def finding_words(finding: FindingRecord) -> str:
    """What a check came to; what was left out with the book's leave is told from what was not done."""
    return LEFT_OUT if left_out_because(finding.method) else finding.finding


def outcome_words(past: PastInspection) -> str:
    """The outcome, unless a later correction stands in its place."""
    return "replaced" if past.superseded else past.inspection.outcome.value


def limit_words(finding: FindingRecord) -> str:
    """The limit as it was applied: '≤ 0.139', '130 – 500'."""
    low, high = finding.limit_low, finding.limit_high
    if low is not None and high is not None:
        return f"{low:f} – {high:f}"
    limit = high if low is None else low
    return "" if limit is None else f"{_SIGNS.get(finding.comparison, finding.comparison)} {limit:f}".strip()


def why_words(finding: FindingRecord) -> str:
    """How a finding came about: arithmetic, source and basis, remark, attempts."""
    source = f"{finding.source} ({finding.basis})" if finding.basis else finding.source
    tries = f"attempts {', '.join(finding.attempts)}" if len(finding.attempts) > 1 else ""
    return " · ".join(
        part for part in (method_words(finding.method), finding.arithmetic, source, finding.remark, tries) if part
    )


def _remarks(past: PastInspection) -> str:
    said = past.inspection
    reason = f"instead of an earlier one: {said.reason}" if said.supersedes else ""
    return " · ".join(part for part in (said.remarks, reason) if part)


HISTORY_COLUMNS: Final[tuple[FieldColumn[PastInspection], ...]] = (
    FieldColumn(
        key="date",
        title="inspected",
        min_width=11,
        text=lambda past: date_words(past.inspection.date),
        order=lambda past: past.inspection.date,
    ),
    FieldColumn(key="kind", title="what", min_width=13, text=lambda past: KIND_WORDS[past.inspection.kind]),
    FieldColumn(key="outcome", title="outcome", min_width=10, tone=outcome_tone, text=outcome_words),
    FieldColumn(key="person", title="by", min_width=4, max_width=22, text=lambda past: past.person.initials),
    FieldColumn(
        key="instrument",
        title="instrument",
        min_width=12,
        max_width=28,
        priority=2,
        text=lambda past: past.instrument.name if past.instrument else "",
    ),
    FieldColumn(key="remarks", title="remarks", min_width=18, max_width=60, priority=1, text=_remarks),
    FieldColumn(
        key="rules",
        title="rules",
        min_width=10,
        max_width=24,
        priority=3,
        text=lambda past: past.inspection.rule_book_version,
    ),
)

FINDING_COLUMNS: Final[tuple[FieldColumn[FindingRecord], ...]] = (
    FieldColumn(key="check", title="check", min_width=16, text=lambda finding: finding.check_name),
    FieldColumn(
        key="reading",
        title="reading",
        min_width=8,
        max_width=12,
        text=lambda finding: kept_readings(finding.method, finding.reading),
    ),
    FieldColumn(key="unit", title="unit", min_width=5, max_width=7, text=lambda finding: finding.unit),
    FieldColumn(key="limit", title="limit", min_width=9, max_width=14, text=limit_words),
    FieldColumn(key="finding", title="finding", min_width=12, tone=outcome_tone, text=finding_words),
    FieldColumn(
        key="remark", title="remark", min_width=14, max_width=40, priority=1, text=lambda finding: finding.remark
    ),
    FieldColumn(
        key="arithmetic",
        title="arithmetic",
        min_width=24,
        max_width=52,
        priority=2,
        text=lambda finding: finding.arithmetic,
    ),
    FieldColumn(
        key="source", title="source", min_width=12, max_width=40, priority=3, text=lambda finding: finding.source
    ),
    FieldColumn(key="basis", title="known from", min_width=15, priority=4, text=lambda finding: finding.basis),
    FieldColumn(
        key="attempts",
        title="attempts",
        min_width=16,
        max_width=60,
        priority=5,
        text=lambda finding: " · ".join(finding.attempts),
    ),
)
