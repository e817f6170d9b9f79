"""What stands on the Bench: the item of a visit, what is entered for it, and what that comes to."""

from datetime import UTC, datetime

from msgspec import Struct, field

from appreg.clock import Instant
from appreg.core.judging.inspection_judging import TypedJudgement
from appreg.core.judging.instrument_accuracy import InstrumentAccuracy
from appreg.core.records.work_records import RemedialAction
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid
from appreg.tasks.inspecting.open_bench import BenchItem, Recorded
from appreg.tasks.inspecting.write_drafts_beside import Entered
from appreg.ui.screens.bench.bench_entries import BenchEntries
from appreg.ui.screens.bench.bench_judging import judge_bench
from appreg.ui.screens.bench.bench_lines import carried_words
from appreg.ui.screens.bench.bench_walk import Walk, inspection_in, next_to_do
from appreg.ui.screens.bench.bench_words import insulation_caution


class BenchShown(Struct, frozen=True, kw_only=True):
    """All that the board is told, in one value: state flows down, messages flow up."""

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
    walk: Walk = field(default_factory=Walk)
    """The items of the visit, in the order of the walk."""
    following: str = ""
    """The tag of the item that comes after a pass; empty where it is the last."""


class BenchState:
    """The one item at hand; judged once for each change of it."""

    def __init__(self, visit: Uid) -> None:
        """Start with a visit and nothing on the board."""
        self.visit = visit
        self.walk = Walk()
        """The items of the visit, in the order of the walk."""
        self.item: BenchItem | None = None
        self.entries = BenchEntries()
        self.opened: BenchEntries | None = None
        """What an inspection kept on this visit filled the item with; None where it is not opened again."""
        self.stated = InstrumentAccuracy()
        self.actions: tuple[RemedialAction, ...] = ()
        self.said = ""
        """What the last key did, until something else is typed."""
        self.nowhere = ""
        """Why the last key did nothing, until another does something."""
        self.asked_once = False
        """Enter has been pressed once on an outcome that is kept only at the second press."""
        self.strayed = False
        """Something has been typed on the outcome, where nothing takes it."""
        self.known: frozenset[Uid] = frozenset()
        """The inspections of the item that were there when it came onto the bench, and those told of since."""
        self._caution_seen = False
        """The caution about 500 V has stood until a reading was typed under it."""
        self._judged: TypedJudgement | None = None
        self._judged_of: tuple[BenchItem, BenchEntries, InstrumentAccuracy] | None = None

    @property
    def judged(self) -> TypedJudgement | None:
        """What stands here comes to; None where nothing is on the board."""
        if self.item is None:
            return None
        now, then = (self.item, self.entries, self.stated), self._judged_of
        if then is None or any(one is not other for one, other in zip(now, then, strict=True)):
            self._judged, self._judged_of = judge_bench(*now), now
        return self._judged

    @property
    def is_as_kept(self) -> bool:
        """Nothing is changed on an item that was kept on this visit."""
        return self.opened is not None and self.entries == self.opened

    @property
    def passes(self) -> bool:
        """The item passes as it stands."""
        return self.judged is not None and self.judged.outcome is Outcome.PASS

    @property
    def asks_again(self) -> bool:
        """What is not a pass waits for a second press of the key that keeps it."""
        return not (self.passes or self.asked_once or self.entries.is_untouched or self.is_as_kept)

    @property
    def needs_put_right(self) -> bool:
        """A failure stands that nobody has said to be put right, and now the item passes."""
        return self.passes and bool(self.actions) and not any(action.repair for action in self.actions)

    @property
    def carried(self) -> str:
        """The lines that stand as an inspection kept them, in words."""
        return carried_words(self.item, self.entries) if self.item is not None else ""

    @property
    def to_tell_apart(self) -> Recorded | None:
        """The inspection of this visit that another may correct or follow: which of both has to be said first."""
        earlier = inspection_in(self.walk, self.item.appliance.uid) if self.item is not None else None
        if earlier is None or (earlier.outcome is Outcome.INCOMPLETE and not (self.actions and self.carried)):
            return None
        return earlier

    def entered(self, at: str) -> Entered | None:
        """What is to be kept half-filled; None where nothing is on the board."""
        if self.item is None:
            return None
        nothing = (self.entries.is_untouched and not self.entries.begun) or self.is_as_kept
        body = "" if nothing else self.entries.to_json()
        return Entered(visit=self.visit, appliance=self.item.appliance.uid, at=at, body=body)

    def come_onto_bench(self) -> None:
        """The item is new here: what is shown of its past is known."""
        self.known = (
            frozenset(past.inspection.uid for past in self.item.history) if self.item is not None else frozenset()
        )

    def tell_of(self, known: object) -> None:
        """Take what a refusal says is known once it is read; of a refusal about something else that is nothing."""
        if isinstance(known, frozenset):
            self.known = known

    def insulation_read(self) -> None:
        """An insulation reading was typed: the caution about it has been seen, where it stood."""
        if self.judged is not None and insulation_caution(self.judged.facts):
            self._caution_seen = True

    def stray(self) -> None:
        """Something was typed on the outcome: what waited for a second press asks anew."""
        self.asked_once, self.strayed, self.nowhere = False, True, ""

    def shown(self, *, next_key: str, keys: frozenset[str]) -> BenchShown | None:
        """All that the board is told; None where nothing is on it."""
        if self.item is None or self.judged is None:
            return None
        return BenchShown(
            item=self.item,
            entries=self.entries,
            judged=self.judged,
            stated=self.stated,
            actions=self.actions,
            first_insulation=not self._caution_seen,
            next_key=next_key,
            keys=keys,
            walk=self.walk,
            following=self._following if self.passes else "",
        )

    @property
    def _following(self) -> str:
        """The tag of the next item to do; empty where this is the last."""
        follower = next_to_do(self.walk, self.item.appliance.uid) if self.item is not None else None
        found = self.walk.item(follower) if follower is not None else None
        return found.appliance.tag if found is not None else ""

    def next_key_on_outcome(self) -> str:
        """What enter does on the outcome."""
        if self.item is None or self.judged is None or self.entries.is_untouched:
            return "nothing is looked at or measured yet: go up"
        again = "again" if self.asked_once else "twice"
        stray = "nothing takes what you typed here; " if self.strayed and not self.asked_once else ""
        if self.is_as_kept:
            return f"{stray}enter goes on" if stray else "kept as it stands: enter goes on"
        if self.judged.outcome is Outcome.INCOMPLETE:
            return "not taken: go up" if stray else f"enter {again} keeps it so"
        if self.judged.outcome is Outcome.FAIL:
            return f"{stray}enter {again} keeps the failure"
        following = self._following
        return f"{stray}enter keeps it{f', then {following}' if following else ''}"


def time_of_day(now: Instant) -> str:
    """A time where this machine stands, HH:MM:SS."""
    return datetime.fromtimestamp(now / 1000, tz=UTC).astimezone().strftime("%H:%M:%S")
