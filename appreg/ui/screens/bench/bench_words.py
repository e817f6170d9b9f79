"""The sentences around the lines: what the item is, what was found before, what comes next."""

from collections.abc import Collection
from typing import Final

from appreg.core.judging.inspection_judging import TypedJudgement
from appreg.core.records.appliances import EquipmentType, Fact, ItemFacts
from appreg.core.records.checks import Check
from appreg.core.records.kept_records import Appliance, InspectionKind, StatedInspection
from appreg.core.records.provenance import measured_of
from appreg.core.records.stated_words import failure_words, is_only_stated, outcome_words
from appreg.core.records.work_records import RemedialAction
from appreg.core.rules.assumptions import words_of
from appreg.core.rules.item_facts import metal_and_earth_words
from appreg.core.rules.limits import terse
from appreg.core.rules.second_lines import INSULATIONS
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.outcomes import CheckResult, Outcome
from appreg.tasks.inspecting.open_bench import BenchItem
from appreg.ui.screens.bench.bench_entries import LineId
from appreg.ui.screens.bench.bench_lines import TITLES, line_of, visual_line
from appreg.ui.shell.key_words import key_of

KILOWATT: Final = 1000

_INSTEAD: Final = (
    f"{key_of('bench.unsuitable', '^y')} marks the item unsuitable for it, "
    f"{key_of('bench.leakage', '^l')} measures leakage instead."
)
INSULATION_CAUTION: Final = (
    f"Caution: 500 V d.c. may harm electronics and surge protection, or mislead the reading. {_INSTEAD}"
)
LEAD_CAUTION: Final = f"Caution: 500 V d.c. may harm surge protection in a lead, or mislead the reading. {_INSTEAD}"
EARTH_CAUTION: Final = (
    "Never energise an item that failed its earth check. Stop here, label it, take it out of use; "
    "the later tests stay closed."
)
DEAD_CAUTION: Final = "Never energise an item that failed its insulation check: what needs mains stays closed. Label it, take it out of use."
VISUAL_CAUTION: Final = "It failed before any test: do not energise it. Label it and take it out of use."
AFTER_REPAIR: Final = "It returns to service only when a full inspection and test passes, every check anew."
OTHER_DESK: Final = (
    "Another desk has this item on its bench too: what is typed last is what a crash would leave. "
    "Agree who inspects it."
)


def what_it_is(item: Appliance, assumed: Collection[Fact] = ()) -> str:
    """Class, type and power in one line; what is assumed has a question mark."""
    parts = [
        item.appliance_class.label + _asked(assumed, Fact.CLASS),
        item.equipment_type.label,
    ]
    if beside := metal_and_earth_words(item):
        parts.append(beside + _asked(assumed, Fact.UNEARTHED_METAL, Fact.FUNCTIONAL_EARTH))
    if item.power_w:
        power = ("heating " if item.heating else "") + power_text(item.power_w)
        parts.append(power + _asked(assumed, Fact.POWER))
    elif item.heating:
        parts.append("heating")
    if item.rcd is not None:
        rating = f" {terse(item.rcd_rating_ma)} mA" if item.rcd_rating_ma else ""
        parts.append(f"RCD {item.rcd.value}{rating}{_asked(assumed, Fact.RCD, Fact.RCD_RATING)}")
    if item.phases > 1:
        parts.append(f"{item.phases} phases")
    return " · ".join(parts)


def _asked(assumed: Collection[Fact], *facts: Fact) -> str:
    return "?" if any(fact in assumed for fact in facts) else ""


def power_text(watts: int) -> str:
    """A rated power as plates write it: '60 W', '2.2 kW'."""
    return f"{watts} W" if watts < KILOWATT else f"{watts / KILOWATT:g} kW"


def cord_and_fuse(item: Appliance, assumed: Collection[Fact] = ()) -> str:
    """Cord and fuse, saying so where they are not known or assumed."""
    csa, length = item.cord_csa_mm2, item.cord_length_m
    parts = []
    if csa is not None and length is not None:
        asked = _asked(assumed, Fact.CORD_SIZE, Fact.CORD_LENGTH)
        measured = " measured" if Fact.CORD_LENGTH in measured_of(item) else ""
        parts.append(f"cord {terse(csa)} mm² × {terse(length)} m{measured}{asked}")
    elif csa is not None:
        parts.append(f"cord {terse(csa)} mm², length not known")
    elif not item.battery:
        parts.append("cord not known")
    if item.fuse_a is not None:
        parts.append(f"fuse {terse(item.fuse_a)} A")
    if item.rated_volts != 230:  # noqa: PLR2004 - the usual supply goes without saying
        parts.append(f"{item.rated_volts} V{_asked(assumed, Fact.VOLTAGE)}")
    return " · ".join(parts)


def last_result(item: BenchItem) -> str:
    """Date and outcome of the latest inspection."""
    last = item.appliance
    if last.last_date is None or last.last_outcome is None or is_only_stated(last):
        return outcome_words(last)
    return f"last: {date_words(last.last_date)}, {last.last_outcome.value}"


IF_FAILED: Final = "if kept: withdrawn from service, “do not use” label, repair to be recorded"
"""What keeping a failure brings."""


def what_follows(item: BenchItem, kind: InspectionKind) -> str:
    """What keeping a pass brings: the next dates and the row of the table that gives them."""
    dates = item.dates_if_passed(kind)
    look = date_words(dates.visual) if dates.visual else "none needed"
    test = date_words(dates.test) if dates.test else "none needed"
    return f"if it passes: next look {look} · next test {test}   {item.answer.title}"


def standing_words(actions: tuple[RemedialAction, ...], stated: StatedInspection | None = None) -> str:
    """What an item that failed before still waits for, here or as another states; empty where nothing is open."""
    held = _held_words(stated) if stated is not None else ""
    if not actions:
        return held
    last = actions[-1]
    told = f" Told: {last.told}." if last.told else ""
    done = f"Repaired {date_words(last.repaired_on)}: {last.repair}." if last.repaired_on else "No repair yet:"
    after = (
        "Every check anew returns it to service." if last.repaired_on else f"{key_of('bench.repair', '^f')} records it."
    )
    return f"Failed {date_words(last.opened_on)}, {last.what}.{told} {done} {after} {held}".rstrip()


def _held_words(stated: StatedInspection) -> str:
    return f"Failed {date_words(stated.on)}, {failure_words(stated)}. Every check anew returns it to service."


def fuse_found(item: BenchItem, line: LineId) -> str:
    """Beside the word for the fuse, the one on record."""
    fuse = item.appliance.fuse_a
    return f" ({terse(fuse)} A on record)" if line == visual_line("fuse") and fuse is not None else ""


def advice_text(judged: TypedJudgement) -> str:
    """The advice in one run of sentences; empty where there is none."""
    advice = judged.judgement.advice
    if judged.closing is not None:
        advice = tuple(sentence for sentence in advice if not sentence.startswith("do not energise"))
    return "advice: " + " · ".join(advice) if advice else ""


def why_so(judged: TypedJudgement) -> str:
    """What has failed, or what is missing."""
    if judged.outcome is Outcome.FAIL:
        return "failed: " + _titles(judged, CheckResult.FAIL)
    unread = {TITLES[check] for check in Check if line_of(check) in judged.problems}
    unread |= {line.partition("/")[2] for line in judged.problems if "/" in line}
    missing = [TITLES[check] for check in judged.judgement.missing if TITLES[check] not in unread]
    doubts = judged.doubts() if judged.judgement.doubts else ()
    doubted = ", ".join(dict.fromkeys(TITLES[doubt.check] for doubt in doubts))
    doubt = _titles(judged, CheckResult.INCONCLUSIVE, but={doubt.check for doubt in doubts})
    rests = words_of(judged.facts, judged.judgement.unconfirmed) if judged.facts.assumed else ""
    parts = [
        f"unreadable: {', '.join(sorted(unread))}" if unread else "",
        f"proves nothing: {doubt}" if doubt else "",
        f"still to do: {', '.join(missing)}" if missing else "",
        f"{key_of('bench.confirm', '^b')} if {rests}" if rests else "",
        f"{key_of('bench.confirm', '^b')} if read so: {doubted}" if doubted else "",
    ]
    said = [part for part in parts if part] or ["every other check it needs is done"] * bool(_limited(judged))
    return " · ".join([*said, *_limited(judged)]) or "every check it needs is done"


def _limited(judged: TypedJudgement) -> list[str]:
    """What limits a pass, with the reasons."""
    left_out = judged.judgement.left_out.items() if judged.entries.left_out else ()
    return [f"left out: {', '.join(f'{TITLES[check]} ({reason})' for check, reason in left_out)}"] if left_out else []


def _titles(judged: TypedJudgement, result: CheckResult, but: Collection[Check] = ()) -> str:
    return ", ".join(
        TITLES[finding.check]
        for finding in judged.judgement.findings
        if finding.result is result and finding.check not in but
    )


def caution_for(judged: TypedJudgement, *, first_insulation: bool, energising: str = "") -> str:
    """The caution that matters now, if any; `energising` is that of a check that needs mains."""
    cautions = {
        Check.VISUAL: VISUAL_CAUTION,
        Check.EARTH_CONTINUITY: EARTH_CAUTION,
        **dict.fromkeys(INSULATIONS, DEAD_CAUTION),
    }
    if judged.closing in cautions:
        return cautions[judged.closing]
    return (insulation_caution(judged.facts) if first_insulation else "") or energising


def insulation_caution(facts: ItemFacts) -> str:
    """What 500 V may harm in such an item; empty where there is nothing of the kind, as in a kettle or a cord set."""
    if facts.equipment_type is EquipmentType.CORD_SET or facts.unsuitable_500v:
        return ""
    if facts.equipment_type is EquipmentType.EXTENSION_LEAD:
        return LEAD_CAUTION
    return "" if facts.heating and not facts.microwave else INSULATION_CAUTION
