"""Write half-filled benches beside the screen: in a thread, one after the other, and of what is typed the last wins."""

from collections.abc import Iterator
from contextlib import contextmanager
from threading import Lock

from msgspec import Struct

from appreg.core.values.uids import Uid
from appreg.register.opening.register_file import Register
from appreg.tasks.inspecting.keep_bench_draft import bench_draft, drop_bench_draft, keep_bench_draft


class Entered(Struct, frozen=True, kw_only=True):
    """What stands on the bench of an item, to be kept."""

    visit: Uid
    appliance: Uid
    at: str
    """The time of day as the bench shows it."""
    body: str
    """Empty: nothing is entered, and nothing is to be kept."""


class DraftWriter:
    """Takes what is entered from the screen's thread, and writes it in whatever thread calls for it."""

    def __init__(self, register: Register, who: str) -> None:
        """Write into that register; `who` is at work."""
        self._register = register
        self._who = who
        self._told = Lock()
        """Held for a moment, over what waits."""
        self._writing = Lock()
        """Held while something is written, so that what is older is never written over what is newer."""
        self._waiting: Entered | None = None
        self._at_work = False
        self._known: dict[Uid, str] = {}
        """By item: what was read or written here last."""

    def read(self, appliance: Uid, body: str) -> None:
        """Take note of what was left of an item."""
        self._known[appliance] = body

    @property
    def is_busy(self) -> bool:
        """Something waits or is being written."""
        with self._told:
            return self._at_work or self._waiting is not None

    def hand_in(self, entered: Entered) -> bool:
        """Let it be written soon, in place of what waits; tells whether somebody has to call write_waiting()."""
        with self._told:
            self._waiting = entered
            idle, self._at_work = not self._at_work, True
            return idle

    def write_waiting(self) -> frozenset[Uid]:
        """Write until nothing waits, and return the items that another desk has half-filled too; in any thread.

        Raises RegisterUnusable and the like; what could not be written then waits for the next call.
        """
        shared: set[Uid] = set()
        while True:
            with self._writing:
                entered = self._taken()
                if entered is None:
                    return frozenset(shared)
                try:
                    with self._register.reopen() as own:
                        shared |= self._write(own, entered)
                except BaseException:
                    self._put_back(entered)
                    raise

    def write_now(self, entered: Entered) -> frozenset[Uid]:
        """Write it before this returns, in the thread of the register, after what is being written; as write_waiting()."""
        with self._told:
            self._waiting = None
        with self._writing:
            return self._write(self._register, entered)

    @contextmanager
    def within(self, entered: Entered, reason: str) -> Iterator[frozenset[Uid]]:
        """Write it in one change with what the block keeps, both or neither, after what is being written; as write_now()."""
        with self._told:
            self._waiting = None
        # In this order: a thread that writes waits for the register, never for this one.
        with self._writing, self._register.change(self._who, reason):
            yield self._write(self._register, entered)

    def _taken(self) -> Entered | None:
        with self._told:
            entered, self._waiting = self._waiting, None
            self._at_work = entered is not None
            return entered

    def _put_back(self, entered: Entered) -> None:
        with self._told:
            self._waiting = self._waiting or entered
            self._at_work = False

    def _write(self, register: Register, entered: Entered) -> frozenset[Uid]:
        visit, appliance, body = entered.visit, entered.appliance, entered.body
        if not body:
            drop_bench_draft(register, self._who, visit=visit, appliance=appliance)
            return frozenset()
        known = bench_draft(register, visit=visit, appliance=appliance)
        others = known is not None and known.body not in {body, self._known.get(appliance)}
        keep_bench_draft(register, self._who, visit=visit, appliance=appliance, at=entered.at, body=body)
        self._known[appliance] = body
        return frozenset({appliance}) if others else frozenset()
