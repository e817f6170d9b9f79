"""From what stands on the bench to what the rule book makes of it, at every keystroke."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Final

from appreg.core.appliances import Fact, ItemFacts
from appreg.core.assumptions import SEEN_AT_ONCE, without
from appreg.core.check_limits import UNIT_OF_CHECK
from appreg.core.checks import Check, EarthEntry, Entries, InsulationEntry, LeakageEntry, LeakageMethod
from appreg.core.findings import Finding
from appreg.core.instrument_accuracy import InstrumentAccuracy
from appreg.core.insulation_limits import insulation_volts
from appreg.core.lean_dataclasses import dataclass, replace
from appreg.core.methods import Method, how_measured
from appreg.core.outcomes import Outcome
from appreg.core.rcd_limits import RCD_CHECKS
from appreg.core.readings import Reading, parse_reading
from appreg.core.records import InspectionKind
from appreg.core.second_lines import INSULATIONS, LINE_OF
from appreg.core.several_readings import parse_readings
from appreg.core.typed_values import decimal_typed
from appreg.core.verdicts import Judgement
from appreg.core.visual_list import KIND
from appreg.errors import InputRefused
from appreg.tasks.judge_item import judge_item
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
from appreg.ui.screens.bench.bench_lines import (
    APPLIED_VOLTS,
    LOAD,
    bench_lines,
    line_of,
    visual_line,
)

NOTHING_STATED: Final = InstrumentAccuracy()


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchJudgement:
    """What the bench amounts to as it stands."""

    entries: Entries
    facts: ItemFacts
    """With what the look has settled read from the item."""
    judgement: Judgement
    findings: Mapping[Check, Finding]
    problems: Mapping[LineId, str]
    """By line: why what is typed there cannot be read."""
    outcome: Outcome
    """As judged, but never a pass while something typed cannot be read."""

    def closed_by(self, check: Check) -> Check | None:
        """The failed check that closes a check; None where it is open."""
        return self.judgement.closed.get(check)

    @property
    def closing(self) -> Check | None:
        """The first failed check that closes others."""
        return next((check for check in Check if check in self.judgement.closed.values()), None)


def judge_bench(item: BenchItem, entries: BenchEntries, stated: InstrumentAccuracy = NOTHING_STATED) -> BenchJudgement:
    """Read every line and judge the whole; of several readings on one line the worst decides.

    `stated` is the accuracy of the visit's instrument, which guards acceptance where the site asks for it.
    """
    candidates, problems = _read_lines(item, entries)
    core = Entries(
        visual=_visual(item, entries),
        polarity=_tick(entries, Check.POLARITY),
        functional=_tick(entries, Check.FUNCTIONAL),
        rcd_button=_tick(entries, Check.RCD_BUTTON),
    )
    if entries.kind is InspectionKind.COMBINED:
        for check, choices in candidates.items():
            core = _with_reading(item, core, check, choices[0], entries)
        core = replace(core, load_kva=_load(entries, problems))
        core = replace(core, several={check: every for check, every in candidates.items() if len(every) > 1})
    else:
        core = Entries(visual=core.visual)
    facts = facts_now(item, entries)
    judgement = judge_item(
        item.appliance.tag, facts, entries.kind, core, item.book, stated=stated, guarded=item.site.guarded
    )
    findings = {finding.check: finding for finding in judgement.findings}
    outcome = judgement.outcome
    if problems and outcome is Outcome.PASS:
        outcome = Outcome.INCOMPLETE
    return BenchJudgement(
        entries=judgement.entries,
        facts=facts,
        judgement=judgement,
        findings=findings,
        problems=problems,
        outcome=outcome,
    )


def _load(entries: BenchEntries, problems: Mapping[LineId, str]) -> Decimal | None:
    text = "" if LOAD in problems else entries.typed.get(LOAD, "")
    return decimal_typed(text, field="load", units=("kVA",))


def seen_facts(item: BenchItem, entries: BenchEntries) -> tuple[Fact, ...]:
    """The assumed facts that the look at the item has settled."""
    seen = entries.marks.get(visual_line(KIND)) is Mark.OK
    return tuple(fact for fact in item.facts.assumed if seen and fact in SEEN_AT_ONCE)


def facts_now(item: BenchItem, entries: BenchEntries) -> ItemFacts:
    """The facts of the item, with what the look has settled read from it."""
    return without(item.facts, seen_facts(item, entries))


def _visual(item: BenchItem, entries: BenchEntries) -> bool | None:
    marks = [entries.marks.get(visual_line(line.id)) for line in item.visual_lines]
    if Mark.BAD in marks:
        return False
    return True if marks and all(mark is Mark.OK for mark in marks) else None


def _tick(entries: BenchEntries, check: Check) -> bool | None:
    mark = entries.marks.get(line_of(check))
    return None if mark is None else mark is Mark.OK


def _read_lines(
    item: BenchItem, entries: BenchEntries
) -> tuple[dict[Check, tuple[Reading | None, ...]], dict[LineId, str]]:
    """The readings of each line that can be read, and the reason for each that cannot."""
    candidates: dict[Check, tuple[Reading | None, ...]] = {}
    problems: dict[LineId, str] = {}
    for line in bench_lines(item, entries):
        text = entries.typed.get(line.id, "").strip()
        if not text:
            continue
        try:
            if line.id in {APPLIED_VOLTS, LOAD}:
                decimal_typed(text, field=line.title.strip(), units=(line.unit,))
            elif line.check in UNIT_OF_CHECK:
                candidates[line.check] = parse_readings(text, line.check)
        except InputRefused as refusal:
            problems[line.id] = str(refusal)
    return candidates, problems


def _with_reading(
    item: BenchItem, core: Entries, check: Check, reading: Reading | None, entries: BenchEntries
) -> Entries:
    if check in RCD_CHECKS:
        return replace(core, rcd_trips={**core.rcd_trips, check: reading})
    if reading is None or check in LINE_OF:
        return core if reading is None else _with_second(item, core, check, reading, entries)
    setting = entries.settings.get(line_of(check), "")
    if check is Check.EARTH_CONTINUITY:
        return replace(core, earth=EarthEntry(reading=reading, test_current=earth_current_set(setting)))
    if check is Check.INSULATION:
        return replace(
            core,
            insulation=InsulationEntry(
                reading=reading, volts=test_volts(item, entries, check), lines_linked=insulation_set(setting)[1]
            ),
        )
    if check is Check.LEAKAGE:
        return replace(core, leakage=_leakage(reading, setting, entries, Decimal(item.appliance.rated_volts)))
    return replace(core, microwave=reading)


def _with_second(item: BenchItem, core: Entries, check: Check, reading: Reading, entries: BenchEntries) -> Entries:
    volts = test_volts(item, entries, check) if check in INSULATIONS else None
    tested = {**core.second_volts, check: volts} if volts else core.second_volts
    return replace(core, second={**core.second, check: reading}, second_volts=tested)


def method_at_hand(item: BenchItem, entries: BenchEntries, check: Check) -> Method:
    """How a check would be measured with the settings as they stand."""
    probe = _with_reading(item, Entries(), check, parse_reading("1", UNIT_OF_CHECK[check]), entries)
    return how_measured(check, item.facts, probe, item.book)


def test_volts(item: BenchItem, entries: BenchEntries, check: Check) -> int | None:
    """The insulation test voltage in force on a line, V d.c.: the one chosen, or the rule book's usual one."""
    chosen, _ = insulation_set(entries.settings.get(line_of(check), ""))
    return chosen or next(iter(insulation_volts(item.facts, item.book)), None)


def _leakage(reading: Reading, setting: str, entries: BenchEntries, volts: Decimal) -> LeakageEntry:
    method = leakage_method_set(setting)
    if method is not LeakageMethod.SUBSTITUTE:
        return LeakageEntry(reading=reading, method=method)
    try:
        applied = decimal_typed(entries.typed.get(APPLIED_VOLTS, ""), field="applied", units=("V",))
    except InputRefused:
        applied = None
    return LeakageEntry(
        reading=reading,
        method=method,
        applied_volts=applied,
        rated_volts=volts,
        two_pole_symmetric=setting == SYMMETRIC,
        referred=setting == REFERRED,
    )
