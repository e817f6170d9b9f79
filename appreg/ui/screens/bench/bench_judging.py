"""From what stands on the bench to what is judged of it, at every keystroke."""

from decimal import Decimal
from typing import Final

from appreg.core.judging.inspection_judging import TypedJudgement, judge_typed
from appreg.core.judging.instrument_accuracy import InstrumentAccuracy
from appreg.core.judging.left_out import refusal_to_leave_out
from appreg.core.judging.methods import Method, how_measured
from appreg.core.judging.typed_checks import Figure, Setup, TypedChecks, read_checks
from appreg.core.records.appliances import Fact
from appreg.core.records.checks import Check, LeakageMethod
from appreg.core.records.kept_records import InspectionKind
from appreg.core.rules.check_limits import UNIT_OF_CHECK
from appreg.core.rules.check_rules import CheckRules
from appreg.core.rules.second_lines import INSULATIONS
from appreg.core.rules.visual_list import KIND, looked_over, settled_by_look
from appreg.core.values.outcomes import CheckResult
from appreg.tasks.inspecting.open_bench import BenchItem
from appreg.ui.screens.bench.bench_entries import (
    REFERRED,
    SYMMETRIC,
    BenchEntries,
    Mark,
    earth_current_set,
    insulation_set,
    leakage_method_set,
)
from appreg.ui.screens.bench.bench_lines import LineShape, bench_lines, line_of, visual_line

NOTHING_STATED: Final = InstrumentAccuracy()
_ANSWERED: Final = (Check.POLARITY, Check.FUNCTIONAL, Check.RCD_BUTTON)


def judge_bench(item: BenchItem, entries: BenchEntries, stated: InstrumentAccuracy = NOTHING_STATED) -> TypedJudgement:
    """Judge all that is typed and ticked; `stated` is the accuracy of the visit's instrument."""
    return judge_typed(
        typed_checks(item, entries),
        rules_now(item, entries),
        entries.kind,
        stated=stated,
        guarded=item.site.guarded,
        read_so=confirmed_doubts(entries),
    )


def typed_checks(item: BenchItem, entries: BenchEntries) -> TypedChecks:
    """What stands on the lines of the bench, none of it read yet; a line taken away says nothing."""
    marks = entries.marks
    looks = looked_over([_answer(marks.get(visual_line(line.id))) for line in item.visual_lines])
    answers = {Check.VISUAL: looks, **{check: _answer(marks.get(line_of(check))) for check in _ANSWERED}}
    measured = entries.kind is InspectionKind.COMBINED
    texts = [(line, text) for line in bench_lines(item, entries) if (text := entries.typed.get(line.id, "").strip())]
    return TypedChecks(
        seen={check: answer for check, answer in answers.items() if answer is not None},
        readings={line.check: text for line, text in texts if measured and line.shape is LineShape.READING},
        figures={Figure(line.id): text for line, text in texts if line.shape is LineShape.FIGURE},
        setup=_setup(item, entries),
        left_out={
            check: entries.left_out[line_of(check)]
            for check in Check
            if measured and line_of(check) in entries.left_out
        },
        begun=_begun(item, entries),
    )


def _begun(item: BenchItem, entries: BenchEntries) -> dict[Check, int]:
    """What stays asked for: what was begun here, and for a whole inspection what failed before."""
    again = item.to_repeat if entries.kind is InspectionKind.COMBINED else {}
    return {**again, **{check: entries.begun[check] for check in Check if check in entries.begun}}


def why_not_left_out(check: Check, item: BenchItem, judged: TypedJudgement) -> str:
    """Why the check of a line cannot be left out as things stand; empty where it can."""
    finding = judged.findings.get(check)
    if finding is None or judged.closed_by(check) is not None:
        return "this is not asked for: there is nothing to leave out"
    if finding.result is not CheckResult.NOT_DONE:
        return "something is entered here, and that counts"
    refused = refusal_to_leave_out(check, judged.facts, judged.entries, item.rules.book)
    return f"not to be left out: {refused}" if refused else ""


def _answer(mark: Mark | None) -> bool | None:
    return None if mark is None else mark is Mark.OK


def _setup(item: BenchItem, entries: BenchEntries) -> Setup:
    earth, insulation, leakage = (
        entries.settings.get(line_of(check), "") for check in (Check.EARTH_CONTINUITY, Check.INSULATION, Check.LEAKAGE)
    )
    method = leakage_method_set(leakage)
    substitute = method is LeakageMethod.SUBSTITUTE
    usual = _usual_volts(item)
    volts = {check: _chosen_volts(entries, check) or usual for check in INSULATIONS}
    return Setup(
        earth_current=earth_current_set(earth),
        insulation_volts=volts[Check.INSULATION],
        second_volts={check: each for check in INSULATIONS[1:] if (each := volts[check])},
        lines_linked=insulation_set(insulation)[1],
        leakage_method=method,
        rated_volts=Decimal(item.appliance.rated_volts) if substitute else None,
        two_pole_symmetric=leakage == SYMMETRIC,
        referred=leakage == REFERRED,
    )


def confirmed_doubts(entries: BenchEntries) -> frozenset[str]:
    """The doubts about readings, in their words, that the person has confirmed."""
    return frozenset(words for every in entries.read_so.values() for words in every)


def seen_facts(item: BenchItem, entries: BenchEntries) -> tuple[Fact, ...]:
    """The assumed facts that the look at the item has settled."""
    facts = item.rules.facts
    return settled_by_look(facts, kind_is_so=entries.marks.get(visual_line(KIND)) is Mark.OK) if facts.assumed else ()


def rules_now(item: BenchItem, entries: BenchEntries) -> CheckRules:
    """The rules of the item, with what the look has settled read from it."""
    seen = seen_facts(item, entries)
    return item.rules.without(seen) if seen else item.rules


def method_at_hand(item: BenchItem, entries: BenchEntries, check: Check) -> Method:
    """How a check would be measured with the settings as they stand."""
    figures = {Figure.APPLIED_VOLTS: entries.typed.get(line_of(Figure.APPLIED_VOLTS), "")}
    typed = TypedChecks(readings={check: f"1 {UNIT_OF_CHECK[check]}"}, figures=figures, setup=_setup(item, entries))
    return how_measured(check, item.rules.facts, read_checks(typed).entries, item.rules.book)


def test_volts(item: BenchItem, entries: BenchEntries, check: Check) -> int | None:
    """The insulation test voltage in force on a line, V d.c.: the one chosen, or the rule book's usual one."""
    return _chosen_volts(entries, check) or _usual_volts(item)


def _chosen_volts(entries: BenchEntries, check: Check) -> int | None:
    return insulation_set(entries.settings.get(line_of(check), ""))[0]


def _usual_volts(item: BenchItem) -> int | None:
    return next(iter(item.rules.test_volts), None)
