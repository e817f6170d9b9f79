"""The half-filled bench on disk: kept soon after a key, found again when the item is opened."""

from typing import TYPE_CHECKING, Final

from appreg.core.uids import Uid
from appreg.core.work_records import BenchDraft
from appreg.tasks.keep_bench_draft import bench_draft, drop_bench_draft, keep_bench_draft
from appreg.ui.screens.bench.bench_state import time_of_day

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
        self._read: dict[Uid, str] = {}
        """By item: the half-filled bench that this screen read or wrote last."""
        self._shared: set[Uid] = set()
        """Items of which it was said that another desk has them on its bench too."""

    def find(self, appliance: Uid) -> BenchDraft | None:
        """What was entered for an item before a crash or a skip."""
        draft = bench_draft(self._bench.shell.register, visit=self._bench.state.visit, appliance=appliance)
        if draft is not None:
            self._read[appliance] = draft.body
        return draft

    def keep_soon(self) -> None:
        """Keep the half-filled bench soon; a timer already running is soon enough."""
        if not self._due:
            self._due = True
            self._bench.set_timer(DRAFT_AFTER, self.keep)

    def keep_due(self) -> None:
        """Keep now what waits for its timer."""
        if self._due:
            self.keep()

    def keep(self) -> None:
        """Keep what has been entered so far, where it has changed."""
        self._due = False
        bench, state = self._bench, self._bench.state
        if state.item is None:
            return
        register, who, item, visit = bench.shell.register, bench.shell.who, state.item.appliance.uid, state.visit
        if (state.entries.is_untouched and not state.entries.begun) or state.is_as_kept:
            bench.attempt(lambda: drop_bench_draft(register, who, visit=visit, appliance=item))
            return
        at, body = time_of_day(bench.shell.clock()), state.entries.to_json()
        self._say_of_other_desk(item, body)
        bench.attempt(lambda: keep_bench_draft(register, who, visit=visit, appliance=item, at=at, body=body))

    def _say_of_other_desk(self, item: Uid, body: str) -> None:
        """Say once where another desk has the same item on its bench: only one half-filled bench can be kept."""
        known = bench_draft(self._bench.shell.register, visit=self._bench.state.visit, appliance=item)
        if known is not None and known.body not in {body, self._read.get(item)} and item not in self._shared:
            self._shared.add(item)
            self._bench.shell.warn(
                "Another desk has this item on its bench too: what is typed last is what a crash would leave. "
                "Agree who inspects it."
            )
        self._read[item] = body
