"""What is known of the item on the bench: what a line takes for granted or doubts, and what it is once that is said."""

from collections.abc import Iterable, Sequence

from msgspec.structs import replace

from appreg.core.judging.doubts import Doubt
from appreg.core.judging.inspection_judging import TypedJudgement
from appreg.core.records.appliances import ApplianceClass, Fact
from appreg.core.records.checks import Check
from appreg.core.records.kept_records import Appliance
from appreg.core.records.provenance import assuming
from appreg.core.rules.assumptions import BEHIND, SEEN_AT_ONCE
from appreg.core.rules.rcd_limits import RCD_CHECKS
from appreg.tasks.inspecting.open_bench import BenchItem
from appreg.ui.screens.bench.bench_entries import BenchEntries
from appreg.ui.screens.bench.bench_lines import TITLES, line_of


def assumed_at(check: Check | None, item: BenchItem, judged: TypedJudgement) -> list[Fact]:
    """What the line of a check takes from the category; None: the outcome, all that it waits for."""
    if check is None:
        behind: Sequence[Fact] = judged.judgement.unconfirmed
    elif check is Check.VISUAL:
        behind = tuple(SEEN_AT_ONCE)
    else:
        behind = (*BEHIND.get(check, ()), *((Fact.RCD_RATING,) if check in RCD_CHECKS else ()))
    return [fact for fact in item.rules.facts.assumed if fact in behind]


def with_confirmed(item: BenchItem, facts: Iterable[Fact]) -> Appliance:
    """The item with these facts read from it."""
    return assuming(item.appliance, set(item.rules.facts.assumed) - set(facts))


def with_class_denied(item: BenchItem) -> Appliance:
    """The item where it is not what its category has it to be: its class is not known, so it is judged as Class I."""
    return replace(with_confirmed(item, (Fact.CLASS,)), appliance_class=ApplianceClass.UNKNOWN)


def with_read_so(entries: BenchEntries, doubts: Iterable[Doubt]) -> BenchEntries:
    """The entries where the doubted readings were read so."""
    for doubt in doubts:
        entries = entries.confirming(line_of(doubt.check), doubt.words)
    return entries


def readings_words(doubts: Iterable[Doubt]) -> str:
    """The checks whose readings are doubted, in words."""
    return ", ".join(dict.fromkeys(TITLES[doubt.check] for doubt in doubts))


def with_mark_turned(item: BenchItem) -> Appliance:
    """The item marked as one that 500 V must not be applied to, or without that mark."""
    return replace(item.appliance, unsuitable_500v=not item.appliance.unsuitable_500v)


def mark_words(item: Appliance) -> str:
    """What that mark says now."""
    is_so = "is marked unsuitable for 500 V d.c." if item.unsuitable_500v else "may be tested at 500 V d.c. again"
    return f"{item.tag} {is_so}"
