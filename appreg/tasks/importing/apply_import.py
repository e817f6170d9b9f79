"""Take an import in: a copy is kept, then every row that can be taken is, in one change that is undone as one step."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from appreg.clock import Instant
from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import (
    Appliance,
    FindingRecord,
    Inspection,
    Record,
    StatedInspection,
    Visit,
)
from appreg.core.records.work_records import RemedialAction
from appreg.core.values.counted_words import counted
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.progress import Progress, shared
from appreg.register.journal.journal_ends import journal_end
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.keep_settings import Settings
from appreg.tasks.importing.plan_import import PLANNERS, Tally, outcomes
from appreg.tasks.importing.row_plans import ImportOrder, ImportPlan, RowOutcome, RowState
from appreg.tasks.keeping.keep_copy import keep_copy, problem_words, same_kept_copy
from appreg.tasks.records.set_service_state import set_service_state
from appreg.tasks.records.undo_step import DoneStep
from appreg.tasks.standing.keep_stated import outdated_labels
from appreg.tasks.standing.queue_labels import queue_labels_of

if TYPE_CHECKING:
    from appreg.register.journal.changes import Change

_A_RUN: Final = 12_000
"""Records of one kind that are written together."""
_TURNS: Final[Mapping[type[Record], int]] = {
    Visit: 1, Inspection: 2, StatedInspection: 2, FindingRecord: 3, RemedialAction: 4, Appliance: 5,
}  # fmt: skip
"""Which records rest on which: those named here come after all others, in this order."""
_COPIED = 20
"""Hundredths of the work that are done once a copy is kept."""


class TakenIn(Struct, frozen=True, kw_only=True):
    """An import that was taken in."""

    plan: ImportPlan
    """What its rows came to."""
    step: DoneStep | None
    """By which it is undone; None: it changed nothing."""
    copy: Path | None
    """The copy that was kept before."""
    said: tuple[str, ...] = ()
    """What did not go well beside it."""


def apply_import(
    register: Register,
    who: str,
    plan: ImportPlan,
    *,
    settings: Settings,
    now: Instant,
    progress: Progress | None = None,
) -> TakenIn:
    """Take in what was planned; raises InputRefused where it would come to something else by now, and nothing is kept."""
    return apply_order(register, who, plan.order, settings=settings, now=now, expected=plan.counts, progress=progress)


def apply_order(
    register: Register,
    who: str,
    order: ImportOrder,
    *,
    settings: Settings,
    now: Instant,
    expected: Mapping[RowState, int] | None = None,
    progress: Progress | None = None,
) -> TakenIn:
    """Plan the rows and take them in as they come; with `expected`, only where they come to just that.

    Raises InputRefused, and Stopped where the person stops it: nothing is kept then.
    """
    register.require_writable()
    copy, said = copy_before(register, settings, now, shared(progress, 0, _COPIED))
    with register.change(who, f"import {order.source.name}") as change:
        planner = PLANNERS[order.mapping.kind](register, order, change.new_uid)
        tally = Tally(order, planner)
        kept = _Kept(inspections=order.labels)
        rows = outcomes(order, planner, tally, progress=shared(progress, _COPIED, 100))
        change.put_many(kept.noting(rows))
        for label in outdated_labels(register, kept.changed):
            change.remove(label)
        for item, state in kept.leaving:
            set_service_state(register, who, appliance=item, state=state, reason=f"by the list {order.source.name}")
        if order.labels:
            queue_labels_of(register, change, inspections=kept.inspected, today=order.today)
        plan = tally.plan()
        if expected is not None and dict(expected) != dict(plan.counts):
            raise InputRefused(
                f"{order.source.name}: the register was changed meanwhile, and its rows come to something else now; "
                "nothing was changed: look at them again."
            )
        step = _step(change, plan, kept)
    return TakenIn(plan=plan, step=step, copy=copy, said=said)


class _Kept:
    """Notes, as rows pass, which items there were before are changed, and which leave service; with `inspections` those too."""

    def __init__(self, *, inspections: bool) -> None:
        self._notes = inspections
        self.inspected: dict[Uid, list[Uid]] = {}
        """By item: the inspections that rows add."""
        self.changed: list[Uid] = []
        self.leaving: list[tuple[Uid, ServiceState]] = []

    def noting(self, rows: Iterable[RowOutcome]) -> Iterator[Record]:
        """The records of the rows, each behind those it rests on."""
        waiting: list[Record] = []
        for row in rows:
            waiting += row.beside
            for each in row.beside if self._notes else ():
                if isinstance(each, Inspection):
                    self.inspected.setdefault(each.appliance, []).append(each.uid)
            if row.after is not None:
                waiting.append(row.after)
            if isinstance(row.before, Appliance) and (row.after is not None or row.leaves is not None):
                self.changed.append(row.before.uid)
                if row.leaves is not None:
                    self.leaving.append((row.before.uid, row.leaves))
            if len(waiting) >= _A_RUN:
                yield from in_runs(waiting)
                waiting.clear()
        yield from in_runs(waiting)


def in_runs(records: Sequence[Record]) -> Iterator[Record]:
    """The same records, kind after kind, and of an item that several rows change the last: long runs take a quarter of the time.

    What another states keeps its place among the inspections, for the journal tells which of them ends the other.
    """
    last = {each.uid: at for at, each in enumerate(records) if isinstance(each, Appliance)}
    kept = (each for at, each in enumerate(records) if last.get(each.uid, at) == at)
    return iter(sorted(kept, key=lambda each: _TURNS.get(type(each), 0)))


def copy_before(
    register: Register, settings: Settings, now: Instant, progress: Progress | None = None
) -> tuple[Path | None, tuple[str, ...]]:
    """The copy that holds what stands there now, made where none does, and what did not go well; None: nothing stands there."""
    same = same_kept_copy(register)
    if same is not None:
        return same, ()
    if not journal_end(register.rows).line:
        return None, ()
    made = keep_copy(register, settings=settings, now=now, progress=progress)
    return made.path, (*((problem_words(made),) if made.problems else ()), *made.said)


def _step(change: "Change", plan: ImportPlan, kept: _Kept) -> DoneStep | None:
    if not change.lines:
        return None
    words = f"{counted(plan.taken, 'row')} of {plan.order.source.name} imported"
    return DoneStep(change=change.uid, words=words, items=tuple(kept.changed))
