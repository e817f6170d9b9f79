"""Which lines stand on the bench for an item, in the order of an inspection."""

from enum import StrEnum
from functools import cache
from typing import Final

from msgspec import Struct

from appreg.core.judging.typed_checks import Figure
from appreg.core.records.checks import Check, LeakageMethod
from appreg.core.records.kept_records import InspectionKind
from appreg.core.rules.check_limits import UNIT_OF_CHECK
from appreg.core.rules.limits import Limit
from appreg.core.rules.rcd_limits import RCD_CHECKS
from appreg.core.rules.second_lines import second_lines
from appreg.tasks.inspecting.open_bench import BenchItem
from appreg.ui.screens.bench.bench_entries import REFERRED, BenchEntries, LineId, leakage_method_set

APPLIED_VOLTS: Final = LineId(Figure.APPLIED_VOLTS.value)
LOAD: Final = LineId(Figure.LOAD.value)


class LineShape(StrEnum):
    """How a line is answered."""

    LIST = "list"
    TICK = "tick"
    READING = "reading"
    FIGURE = "figure"
    """A figure that is no check of its own: the applied voltage, the load."""


class BenchLine(Struct, frozen=True, kw_only=True):
    """One line of the bench."""

    id: LineId
    check: Check
    shape: LineShape
    title: str
    unit: str = ""


TITLES: Final = {
    Check.VISUAL: "look it over",
    Check.EARTH_CONTINUITY: "earth",
    Check.POLARITY: "polarity",
    Check.INSULATION: "insulation",
    Check.LEAKAGE: "leakage",
    Check.UNEARTHED_INSULATION: "ins. metal",
    Check.UNEARTHED_CURRENT: "touch, metal",
    Check.FUNCTIONAL_EARTH_INSULATION: "ins. FE",
    Check.FUNCTIONAL_EARTH_CURRENT: "current in FE",
    Check.FUNCTIONAL: "works",
    Check.RCD_HALF: "RCD at ½ IΔn",
    Check.RCD_1X: "RCD at 1 IΔn",
    Check.RCD_2X: "RCD at 2 IΔn",
    Check.RCD_5X: "RCD at 5 IΔn",
    Check.RCD_BUTTON: "RCD test button",
    Check.MICROWAVE: "microwaves",
}
"""What the bench calls a check."""


@cache
def line_of(what: Check | Figure) -> LineId:
    """The line on which a check is answered, or a figure typed."""
    return LineId(what.value)


@cache
def visual_line(item: str) -> LineId:
    """The line of one thing to look at."""
    return LineId(f"{Check.VISUAL.value}/{item}")


def bench_lines(item: BenchItem, entries: BenchEntries) -> tuple[BenchLine, ...]:
    """The lines an item needs, those its RCD can be timed at, those added by hand; for a formal visual the list alone."""
    wanted = {Check.VISUAL}
    if entries.kind is InspectionKind.COMBINED:
        asked = {*entries.added, *entries.begun, *item.to_repeat}
        wanted |= {*item.rules.required, *(check for check in Check if line_of(check) in asked)}
    if entries.kind is InspectionKind.COMBINED and item.rules.facts.rcd is not None:
        wanted |= {check for check in RCD_CHECKS if isinstance(item.rules.limit(check), Limit)}
    lines: list[BenchLine] = []
    for check in Check:
        if check in wanted:
            lines += _lines_of(check, entries)
    return tuple(lines)


def _lines_of(check: Check, entries: BenchEntries) -> list[BenchLine]:
    if check is Check.VISUAL:
        return [BenchLine(id=line_of(check), check=check, shape=LineShape.LIST, title=TITLES[check])]
    if check in UNIT_OF_CHECK:
        reading = BenchLine(
            id=line_of(check),
            check=check,
            shape=LineShape.READING,
            title=TITLES[check],
            unit=UNIT_OF_CHECK[check].value,
        )
        setting = entries.settings.get(line_of(check), "") if check is Check.LEAKAGE else ""
        substitute = leakage_method_set(setting) is LeakageMethod.SUBSTITUTE and setting != REFERRED
        volts = BenchLine(id=APPLIED_VOLTS, check=check, shape=LineShape.FIGURE, title="  applied", unit="V")
        return [reading, volts] if substitute else [reading]
    tick = BenchLine(id=line_of(check), check=check, shape=LineShape.TICK, title=TITLES[check])
    load = BenchLine(id=LOAD, check=check, shape=LineShape.FIGURE, title="  load", unit="kVA")
    return [tick, load] if check is Check.FUNCTIONAL and LOAD in entries.added else [tick]


def instead_of(item: BenchItem, check: Check | None) -> Check:
    """The measurement that may stand in place of another; on a second line the other of its two."""
    for line in second_lines(item.rules.facts):
        if check in {line.insulation, line.current}:
            return line.insulation if line.current in item.rules.required else line.current
    return Check.INSULATION if Check.LEAKAGE in item.rules.required else Check.LEAKAGE


def carried_words(item: BenchItem, entries: BenchEntries) -> str:
    """The lines of an item that stand as they were kept, in words; a further inspection takes each of them anew."""
    lines = bench_lines(item, entries)
    asked = {*(line.id for line in lines), *(visual_line(seen.id) for seen in item.visual_lines)}
    checks = {line.partition("/")[0] for line in entries.carried & asked}
    return ", ".join(TITLES[check] for check in dict.fromkeys(line.check for line in lines) if check.value in checks)
