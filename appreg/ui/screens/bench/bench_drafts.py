"""The half-filled bench on disk: kept soon after a key, found again when the item is opened."""

from collections.abc import Iterator
from contextlib import contextmanager
from functools import cached_property
from typing import TYPE_CHECKING, Final

from appreg.core.records.work_records import BenchDraft
from appreg.core.values.uids import Uid
from appreg.tasks.inspecting.keep_bench_draft import bench_draft
from appreg.tasks.inspecting.write_drafts_beside import DraftWriter, Entered
from appreg.ui.screens.bench.bench_state import time_of_day
from appreg.ui.screens.bench.bench_words import OTHER_DESK

if TYPE_CHECKING:
    from appreg.ui.screens.bench.bench_screen import BenchScreen

DRAFT_AFTER: Final = 0.25
"""Seconds from a keystroke to the half-filled bench on disk."""


class BenchDrafts:
    """Keeps what is entered on one Bench."""

    def __init__(self, bench: "BenchScreen") -> None:
        """Serve one Bench."""
        self._bench = bench
        self._due = False
        self._shared: set[Uid] = set()
        """Items of which it was said that another desk has them on its bench too."""

    @cached_property
    def _writer(self) -> DraftWriter:
        return DraftWriter(self._bench.shell.register, self._bench.shell.who)

    def find(self, appliance: Uid) -> BenchDraft | None:
        """What was entered for an item before a crash or a skip."""
        draft = bench_draft(self._bench.shell.register, visit=self._bench.state.visit, appliance=appliance)
        if draft is not None:
            self._writer.read(appliance, draft.body)
        return draft

    def keep_soon(self) -> None:
        """Keep the half-filled bench soon; a timer already running is soon enough."""
        if not self._due:
            self._due = True
            self._bench.set_timer(DRAFT_AFTER, self._keep_beside)

    def keep_due(self) -> None:
        """Keep now what waits for its timer, or for a thread."""
        if self._due or self._writer.is_busy:
            self.keep()

    def keep(self) -> None:
        """Keep what has been entered so far, where it has changed, before this returns."""
        entered = self._entered()
        if entered is not None:
            self._say_of_other_desk(self._bench.attempt(lambda: self._writer.write_now(entered)) or frozenset())

    @contextmanager
    def kept_with(self, reason: str) -> Iterator[None]:
        """Keep it in one change with what the block keeps, so that the disk is waited for once."""
        entered = self._entered()
        if entered is None:
            yield
            return
        with self._writer.within(entered, reason) as shared:
            yield
        self._say_of_other_desk(shared)

    def _keep_beside(self) -> None:
        """Keep it in a thread: between two keys nobody waits for the disk."""
        entered = self._entered()
        if entered is not None and self._writer.hand_in(entered):
            self._bench.run_worker(self._write, thread=True, group="half-filled bench")

    def _write(self) -> None:
        try:
            shared = self._writer.write_waiting()
        except Exception as fault:  # noqa: BLE001 - told on the screen, and reported where it was not foreseen
            self._bench.call_later(self._bench.shell.tell_fault, fault)
        else:
            self._bench.call_later(self._say_of_other_desk, shared)

    def _entered(self) -> Entered | None:
        self._due = False
        return self._bench.state.entered(time_of_day(self._bench.shell.clock()))

    def _say_of_other_desk(self, shared: frozenset[Uid]) -> None:
        """Say once where another desk has the same item on its bench: only one half-filled bench can be kept."""
        if not shared <= self._shared:
            self._shared |= shared
            self._bench.shell.warn(OTHER_DESK)
