"""What each line of the bench says: limit, arithmetic, verdict word, gauge; pure, from state and judgement."""

from collections.abc import Mapping
from enum import StrEnum
from typing import Final

from appreg.core.appliances import ItemFacts
from appreg.core.assumed_findings import assumed_finding
from appreg.core.check_limits import UNIT_OF_CHECK, limit_of
from appreg.core.checks import Check, LeakageMethod
from appreg.core.findings import Finding
from appreg.core.instrument_accuracy import InstrumentAccuracy
from appreg.core.leakage_limits import scaled_substitute
from appreg.core.lean_dataclasses import dataclass, replace
from appreg.core.limits import Limit, NoLimit, terse
from appreg.core.methods import current_caution
from appreg.core.outcomes import CheckResult
from appreg.core.rcd_limits import RCD_CHECKS
from appreg.core.readings import Reading
from appreg.core.second_lines import INSULATIONS
from appreg.core.several_readings import reading_in
from appreg.tasks.open_bench import BenchItem
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
from appreg.ui.screens.bench.bench_judging import NOTHING_STATED, BenchJudgement, facts_now, test_volts
from appreg.ui.screens.bench.bench_lines import TITLES, BenchLine, LineShape, line_of, visual_line
from appreg.ui.screens.bench.reading_doubt import ReadingDoubt, reading_doubt
from appreg.ui.widgets.gauge_scale import GaugeView


class Tone(StrEnum):
    """How a word is coloured; the word itself says the same."""

    PASS = "pass"
    FAIL = "fail"
    DOUBT = "doubt"
    QUIET = "quiet"


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenWord:
    """One thing to look at, as the visual line shows it."""

    line: LineId
    word: str
    look_for: str
    mark: Mark | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LineView:
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
_WAITING: Final = frozenset({"to do", "inconclusive", "unreadable"})
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
    judged: BenchJudgement,
    stated: InstrumentAccuracy = NOTHING_STATED,
) -> LineView:
    """What one line shows at this moment; `stated` is the accuracy of the visit's instrument."""
    text = entries.marks.get(line.id, "") if line.shape is LineShape.TICK else entries.typed.get(line.id, "")
    closing = judged.closed_by(line.check)
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
    doubt = reading_doubt(finding, judged.entries, stated)
    word, tone = _verdict(judged.findings.get(line.check), problem)
    if doubt is not None and doubt.zone.is_close and word in {"pass", "FAIL"}:
        word = f"{word}, close"
    seen = _seen(item, entries) if line.shape is LineShape.LIST else ()
    return LineView(
        line=line,
        title=_title(line, item, entries),
        text=text,
        limit=limit_text(finding) or line.unit,
        note=problem or _note(line, item.facts, entries, finding, doubt),
        note_tone=_note_tone(problem),
        word=f"all {len(seen)} ok" if seen and finding.result is CheckResult.PASS else word,
        tone=tone,
        gauge=_gauge(line, item, finding, judged, doubt),
        seen=seen,
        finding=finding if line.shape is LineShape.READING else None,
    )


def limit_text(finding: Finding) -> str:
    """The limit as the bench writes it: '≤ 0.1208 Ω', '130 – 500 ms'."""
    if not finding.comparison:
        return ""
    if finding.limit_low is not None and finding.limit_high is not None:
        return f"{terse(finding.limit_low)} – {terse(finding.limit_high)} {finding.unit}"
    limit = finding.limit_low if finding.limit_high is None else finding.limit_high
    sign = _COMPARISONS.get(finding.comparison, finding.comparison)
    return "" if limit is None else f"{sign} {terse(limit)} {finding.unit}"


def source_text(finding: Finding) -> str:
    """Where the limit comes from, and on what basis it is known."""
    return f"{finding.source} ({finding.basis})" if finding.basis else finding.source


def _closed(line: BenchLine, title: str, text: str, closing: Check) -> LineView:
    if line.shape is LineShape.FIGURE:
        return LineView(line=line, title=title, text=text, word="", closed=True)
    return LineView(
        line=line, title=title, text=text, word="not done", limit=f"closed: “{TITLES[closing]}” failed", closed=True
    )


def _verdict(finding: Finding | None, problem: str | None) -> tuple[str, Tone]:
    if problem:
        return "unreadable", Tone.DOUBT
    return ("not needed", Tone.QUIET) if finding is None else _WORDS[finding.result]


def _note_tone(problem: str | None) -> Tone:
    return Tone.DOUBT if problem else Tone.QUIET


def _finding(line: BenchLine, item: BenchItem, entries: BenchEntries, judged: BenchJudgement) -> Finding:
    """What was found, or for a line that nothing was typed in, the limit that would apply."""
    finding = judged.findings.get(line.check) or assumed_finding(
        line.check, facts_now(item, entries), judged.entries, item.book
    )
    setting = entries.settings.get(line_of(line.check), "")
    if line.check is not Check.LEAKAGE or judged.entries.leakage is not None or not setting:
        return finding
    limit = limit_of(line.check, item.facts, item.book, leakage_method_set(setting))
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


def _note(
    line: BenchLine, facts: ItemFacts, entries: BenchEntries, finding: Finding, doubt: ReadingDoubt | None
) -> str:
    parts = [finding.arithmetic, source_text(finding)] if line.shape is LineShape.READING else []
    if line.check in RCD_CHECKS and line.check is not Check.RCD_HALF and not entries.typed.get(line.id, ""):
        parts.insert(0, "at 0° and 180°, as 18/22: the longer counts")
    earlier = entries.attempts.get(line.id, ())
    if earlier:
        parts.insert(0, f"before: {', '.join(attempt.partition(' ')[2] or attempt for attempt in earlier)}")
    if doubt is not None:
        parts.insert(0 if doubt.zone.is_close else 1, doubt.words)
    strong = current_caution(facts, earth_current_set(entries.settings.get(line.id, "")))
    if line.check is Check.EARTH_CONTINUITY and strong:
        parts.insert(0, strong)
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
    line: BenchLine, item: BenchItem, finding: Finding, judged: BenchJudgement, doubt: ReadingDoubt | None
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


def _pointed(line: BenchLine, item: BenchItem, judged: BenchJudgement) -> Reading | None:
    """The reading as it is compared: a substitute leakage scaled to rated voltage, or nothing where it cannot be."""
    leakage = judged.entries.leakage
    if line.check is Check.LEAKAGE and leakage is not None and leakage.method is LeakageMethod.SUBSTITUTE:
        scaled = scaled_substitute(leakage, item.book)
        return None if isinstance(scaled, NoLimit) else scaled[0]
    return reading_in(judged.entries, line.check)
