"""What each line of the bench says: limit, arithmetic, verdict word, gauge; pure, from state and judgement."""

from collections.abc import Mapping, Sequence
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum
from functools import lru_cache
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from appreg.core.judging.assumed_findings import assumed_finding
from appreg.core.judging.doubts import Doubt
from appreg.core.judging.inspection_judging import TypedJudgement
from appreg.core.judging.instrument_accuracy import InstrumentAccuracy
from appreg.core.judging.left_out import SAID_LEFT_OUT
from appreg.core.judging.methods import current_caution
from appreg.core.judging.uncertainty import Zone, conformance_probability
from appreg.core.records.appliances import ItemFacts
from appreg.core.records.checks import Check, Entries, LeakageMethod
from appreg.core.records.findings import Finding
from appreg.core.rules.check_limits import UNIT_OF_CHECK
from appreg.core.rules.leakage_limits import scaled_substitute
from appreg.core.rules.limits import Limit, NoLimit, terse
from appreg.core.rules.rcd_limits import RCD_CHECKS
from appreg.core.rules.second_lines import INSULATIONS
from appreg.core.values.outcomes import CheckResult
from appreg.core.values.readings import Reading, Unit, parse_reading
from appreg.tasks.inspecting.open_bench import BenchItem
from appreg.tasks.records.state_uncertainty import stated_uncertainty
from appreg.ui.screens.bench.bench_entries import (
    REFERRED,
    SYMMETRIC,
    BenchEntries,
    LineId,
    Mark,
    earth_current_set,
    insulation_set,
    leakage_method_set,
)
from appreg.ui.screens.bench.bench_judging import NOTHING_STATED, rules_now, test_volts
from appreg.ui.screens.bench.bench_lines import TITLES, BenchLine, LineShape, line_of, visual_line
from appreg.ui.shell.key_words import key_of
from appreg.ui.widgets.gauge import GaugeView


class Tone(StrEnum):
    """How a word is coloured; the word itself says the same."""

    PASS = "pass"
    FAIL = "fail"
    DOUBT = "doubt"
    QUIET = "quiet"


class SeenWord(Struct, frozen=True, kw_only=True):
    """One thing to look at, as the visual line shows it."""

    line: LineId
    word: str
    look_for: str
    mark: Mark | None


class Trust(Struct, frozen=True, kw_only=True):
    """How far one reading can be trusted beside its limit: its uncertainty, and what that means for the verdict."""

    value: Decimal
    expanded: Decimal
    """Expanded uncertainty, k = 2, in the unit of the reading."""
    zone: Zone
    probability: float
    """That the true value meets the limit."""
    unit: str

    @property
    def band(self) -> tuple[Decimal, Decimal]:
        """The reading less and plus its uncertainty."""
        return max(Decimal(0), self.value - self.expanded), self.value + self.expanded

    @property
    def words(self) -> str:
        """Uncertainty and conformance in one line."""
        shown = terse(self.expanded.quantize(_SHOWN_TO, rounding=ROUND_HALF_UP))
        sure = f"{min(99.9, max(0.1, self.probability * _WHOLE)):.3g} % sure it meets the limit"
        close = "close to the limit, " if self.zone.is_close else ""
        return f"{close}U {shown} {self.unit}, {sure}"


def trust_in(finding: Finding, entries: Entries, stated: InstrumentAccuracy) -> Trust | None:
    """The trust in a plain reading, where the instrument states its accuracy for it."""
    expanded, zone = stated_uncertainty(finding, entries, stated) if finding.reading else (None, "")
    if expanded is None:
        return None
    value = parse_reading(finding.reading, Unit(finding.unit)).value
    if value is None:
        return None
    probability = conformance_probability(value, expanded, low=finding.limit_low, high=finding.limit_high)
    return Trust(value=value, expanded=expanded, zone=Zone(zone), probability=probability, unit=finding.unit)


class LineView(Struct, frozen=True, kw_only=True):
    """Everything one line shows."""

    line: BenchLine
    title: str
    text: str = ""
    """What stands in its field."""
    limit: str = ""
    note: str = ""
    """Arithmetic and source, or why something cannot be read, or what closes the line."""
    note_tone: Tone = Tone.QUIET
    word: str = "to do"
    tone: Tone = Tone.QUIET
    gauge: GaugeView | None = None
    closed: bool = False
    seen: tuple[SeenWord, ...] = ()
    finding: Finding | None = None
    """What was found, or the limit that would apply."""

    @property
    def waits(self) -> bool:
        """Something is still to be done on the line."""
        return not self.closed and self.word in _WAITING


_WORDS: Final[Mapping[CheckResult, tuple[str, Tone]]] = {
    CheckResult.PASS: ("pass", Tone.PASS),
    CheckResult.FAIL: ("FAIL", Tone.FAIL),
    CheckResult.INCONCLUSIVE: ("inconclusive", Tone.DOUBT),
    CheckResult.NOT_DONE: ("to do", Tone.QUIET),
}
_WAITING: Final = frozenset({"to do", "inconclusive", "unreadable", "doubted"})
_SHOWN_TO: Final = Decimal("0.0001")
_WHOLE: Final = 100
_LIMITS_KEPT: Final = 64
_COMPARISONS: Final = {"<=": "≤", ">=": "≥"}
_METHOD_WORDS: Final[Mapping[str, str]] = {
    LeakageMethod.PROTECTIVE_CONDUCTOR: "leakage, PE",
    LeakageMethod.TOUCH: "leakage, touch",
    LeakageMethod.SUBSTITUTE: "leakage, subst.",
    SYMMETRIC: "leakage, sub. ½",
    REFERRED: "leakage, displ.",
}


def line_view(
    line: BenchLine,
    item: BenchItem,
    entries: BenchEntries,
    judged: TypedJudgement,
    stated: InstrumentAccuracy = NOTHING_STATED,
) -> LineView:
    """What one line shows at this moment; `stated` is the accuracy of the visit's instrument."""
    text = entries.marks.get(line.id, "") if line.shape is LineShape.TICK else entries.typed.get(line.id, "")
    closing = judged.judgement.closed.get(line.check)
    if closing is not None:
        return _closed(line, _title(line, item, entries), text, closing)
    problem = judged.problems.get(line.id)
    if line.shape is LineShape.FIGURE:
        return LineView(
            line=line,
            title=line.title,
            text=text,
            limit=line.unit,
            note=problem or "",
            note_tone=_note_tone(problem),
            word="",
        )
    finding = _finding(line, item, entries, judged)
    doubt = trust_in(finding, judged.entries, stated) if stated.ranges else None
    against = judged.doubts(line.check) if judged.judgement.doubts and line.shape is LineShape.READING else ()
    against_it = doubts_text(against) if against else ""
    word, tone = _verdict(judged.findings.get(line.check), problem, doubted=bool(against))
    if doubt is not None and doubt.zone.is_close and word in {"pass", "FAIL"}:
        word = f"{word}, close"
    seen = _seen(item, entries) if line.shape is LineShape.LIST else ()
    return LineView(
        line=line,
        title=_title(line, item, entries),
        text=text,
        limit=limit_text(finding) or line.unit,
        note=problem or against_it or _note(line, item.rules.facts, entries, finding, doubt),
        note_tone=_note_tone(problem or against_it),
        word=f"all {len(seen)} ok" if seen and finding.result is CheckResult.PASS else word,
        tone=tone,
        gauge=_gauge(line, item, finding, judged, doubt),
        seen=seen,
        finding=finding if line.shape is LineShape.READING else None,
    )


def limit_text(finding: Finding) -> str:
    """The limit as the bench writes it: '≤ 0.1208 Ω', '130 – 500 ms'."""
    return _limit_words(finding.limit_low, finding.limit_high, finding.comparison, finding.unit)


@lru_cache(_LIMITS_KEPT)
def _limit_words(low: Decimal | None, high: Decimal | None, comparison: str, unit: str) -> str:
    if not comparison:
        return ""
    if low is not None and high is not None:
        return f"{terse(low)} – {terse(high)} {unit}"
    limit = low if high is None else high
    return "" if limit is None else f"{_COMPARISONS.get(comparison, comparison)} {terse(limit)} {unit}"


def source_text(finding: Finding) -> str:
    """Where the limit comes from, and on what basis it is known."""
    return f"{finding.source} ({finding.basis})" if finding.basis else finding.source


def _closed(line: BenchLine, title: str, text: str, closing: Check) -> LineView:
    if line.shape is LineShape.FIGURE:
        return LineView(line=line, title=title, text=text, word="", closed=True)
    return LineView(
        line=line, title=title, text=text, word="not done", limit=f"closed: “{TITLES[closing]}” failed", closed=True
    )


def doubts_text(doubts: Sequence[Doubt]) -> str:
    """What speaks against the reading of a line, and the key that says it was read so."""
    return f"{key_of('bench.confirm', '^b')} if it was read so: {' · '.join(doubt.words for doubt in doubts)}"


def _verdict(finding: Finding | None, problem: str | None, *, doubted: bool) -> tuple[str, Tone]:
    if problem:
        return "unreadable", Tone.DOUBT
    if finding is not None and finding.left_out:
        return SAID_LEFT_OUT, Tone.DOUBT
    if doubted and finding is not None and finding.result is CheckResult.INCONCLUSIVE:
        return "doubted", Tone.DOUBT
    return ("not needed", Tone.QUIET) if finding is None else _WORDS[finding.result]


def _note_tone(problem: str | None) -> Tone:
    return Tone.DOUBT if problem else Tone.QUIET


def _finding(line: BenchLine, item: BenchItem, entries: BenchEntries, judged: TypedJudgement) -> Finding:
    """What was found, or for a line that nothing was typed in, the limit that would apply."""
    finding = judged.findings.get(line.check) or assumed_finding(line.check, rules_now(item, entries), judged.entries)
    setting = entries.settings.get(line_of(line.check), "")
    if line.check is not Check.LEAKAGE or judged.entries.leakage is not None or not setting:
        return finding
    limit = item.rules.limit(line.check, leakage_method_set(setting))
    if not isinstance(limit, Limit):
        reason = limit.reason if limit else ""
        return replace(finding, limit_low=None, limit_high=None, comparison="", arithmetic=reason)
    return replace(
        finding,
        limit_low=limit.low,
        limit_high=limit.high,
        comparison=limit.comparison,
        arithmetic=limit.arithmetic,
        source=limit.citation.line,
        basis=limit.citation.basis,
    )


def _note(line: BenchLine, facts: ItemFacts, entries: BenchEntries, finding: Finding, doubt: Trust | None) -> str:
    parts = [finding.arithmetic, source_text(finding)] if line.shape is LineShape.READING else []
    if line.shape is LineShape.TICK and finding.result is CheckResult.NOT_DONE:
        parts = [finding.arithmetic] if line.id in entries.left_out or line.check in entries.begun else []
    if line.check in RCD_CHECKS and line.check is not Check.RCD_HALF and not entries.typed.get(line.id, ""):
        parts.insert(0, "at 0° and 180°, as 18/22: the longer counts")
    earlier = entries.attempts.get(line.id, ())
    if earlier:
        parts.insert(0, f"before: {', '.join(attempt.partition(' ')[2] or attempt for attempt in earlier)}")
    if doubt is not None:
        parts.insert(0 if doubt.zone.is_close else 1, doubt.words)
    if line.check is Check.EARTH_CONTINUITY:
        current = earth_current_set(entries.settings.get(line.id, ""))
        parts.insert(0, current_caution(facts, current) if current else "")
    remark = entries.remarks.get(line.id)
    return " · ".join(part for part in (*parts, remark) if part)


def _title(line: BenchLine, item: BenchItem, entries: BenchEntries) -> str:
    setting = entries.settings.get(line_of(line.check), "")
    if line.check is Check.LEAKAGE and setting:
        return _METHOD_WORDS[setting]
    if line.check in INSULATIONS:
        volts = test_volts(item, entries, line.check)
        linked = ", linked" if insulation_set(setting)[1] else ""
        return f"{line.title} {volts} V{linked}" if volts else line.title
    if line.check is Check.EARTH_CONTINUITY and setting:
        return f"{line.title}, {setting}"
    return line.title


def _seen(item: BenchItem, entries: BenchEntries) -> tuple[SeenWord, ...]:
    return tuple(
        SeenWord(
            line=visual_line(line.id),
            word=line.title,
            look_for=line.look_for,
            mark=entries.marks.get(visual_line(line.id)),
        )
        for line in item.visual_lines
    )


def _gauge(
    line: BenchLine, item: BenchItem, finding: Finding, judged: TypedJudgement, doubt: Trust | None
) -> GaugeView | None:
    if line.shape is not LineShape.READING or (finding.limit_low is None and finding.limit_high is None):
        return None
    reading = None if line.id in judged.problems else _pointed(line, item, judged)
    return GaugeView(
        unit=UNIT_OF_CHECK[line.check],
        low=finding.limit_low,
        high=finding.limit_high,
        reading=reading,
        band=doubt.band if doubt and reading else None,
    )


def _pointed(line: BenchLine, item: BenchItem, judged: TypedJudgement) -> Reading | None:
    """The reading as it is compared: a substitute leakage scaled to rated voltage, or nothing where it cannot be."""
    leakage = judged.entries.leakage
    if line.check is Check.LEAKAGE and leakage is not None and leakage.method is LeakageMethod.SUBSTITUTE:
        scaled = scaled_substitute(leakage, item.rules.book)
        return None if isinstance(scaled, NoLimit) else scaled[0]
    return judged.entries.reading(line.check)
