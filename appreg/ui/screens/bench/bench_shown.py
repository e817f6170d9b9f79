"""All that the board is told, in one value: state flows down, messages flow up."""

from appreg.core.inspection_judging import TypedJudgement
from appreg.core.instrument_accuracy import InstrumentAccuracy
from appreg.core.lean_dataclasses import dataclass, field
from appreg.core.work_records import RemedialAction
from appreg.tasks.open_bench import BenchItem
from appreg.ui.screens.bench.bench_entries import BenchEntries


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchShown:
    """One item on the bench as it stands."""

    item: BenchItem
    entries: BenchEntries
    judged: TypedJudgement
    stated: InstrumentAccuracy = field(default_factory=InstrumentAccuracy)
    """The accuracy of the visit's instrument."""
    actions: tuple[RemedialAction, ...] = ()
    """What is still to be put right since it failed."""
    first_insulation: bool = False
    """No insulation reading has been entered yet in this sitting."""
    next_key: str = ""
    """What the next key does, or what the last one did."""
    keys: frozenset[str] = frozenset()
    """The keys that are commands of the bench, by Textual's names."""
