"""From the outcome to the register: what it came to, what must be said before it is kept, and keeping it."""

from appreg.cli.asking.asked_lines import AskedLines
from appreg.cli.asking.asked_words import without_keys
from appreg.cli.asking.line_bench import LineBench
from appreg.cli.asking.talk import STOP, Left, Talk
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.tasks.inspecting.ask_for_what_was_begun import with_what_was_begun
from appreg.tasks.inspecting.open_bench import Recorded
from appreg.tasks.inspecting.record_inspection import SavedInspection
from appreg.ui.screens.bench.bench_record import keep_bench, unsaveable
from appreg.ui.screens.bench.bench_words import IF_FAILED, advice_text, what_follows, why_so

_YES = frozenset({"y", "yes"})
_KEEPS = {
    Outcome.PASS: ("yes keeps it", _YES),
    Outcome.FAIL: ("yes keeps the failure", _YES),
    Outcome.INCOMPLETE: ("incomplete keeps it so", frozenset({"incomplete"})),
}
"""By outcome: what is to be typed, and in which words; what is incomplete is kept by its name alone."""


class AskedKeeping:
    """Asks until an item is kept, or left half-filled."""

    def __init__(self, bench: LineBench, lines: AskedLines, talk: Talk) -> None:
        """Keep what stands on that bench."""
        self._bench = bench
        self._lines = lines
        self._talk = talk

    def work(self) -> SavedInspection:
        """Ask the lines, then whether to keep it; raises Left where it is left as it stands."""
        at: SavedInspection | int = 0
        while isinstance(at, int):
            self._lines.walk(at)
            at = self._outcome()
        return at

    def _outcome(self) -> SavedInspection | int:
        """Say what it came to and keep it; or the line to go on at, beyond the last to ask here again."""
        bench, judged = self._bench, self._bench.judged
        if bench.state.is_as_kept or bench.entries.is_untouched:
            self._talk.say(
                "It stays as it was kept."
                if bench.state.is_as_kept
                else "Nothing is looked at or measured yet, so nothing is kept."
            )
            raise Left
        if (lost := unsaveable(judged)) is not None:
            self._talk.say(lost[1])
            return self._lines.start_at(lost[0])
        self._talk.say(
            f"{judged.outcome.value.upper()}: {without_keys(why_so(judged))}",
            IF_FAILED if judged.outcome is Outcome.FAIL else what_follows(bench.item, bench.entries.kind),
            advice_text(judged),
        )
        said, words = _KEEPS[judged.outcome]
        typed = self._talk.ask(f"{said}, < goes back, {STOP} leaves it half-filled")
        if typed.casefold() in words:
            return self._keep_as_asked() or self._last_line
        if typed == "<":
            return self._last_line
        self._talk.say(self._confirmed() if typed.casefold() == "confirm" else f"“{typed[:40]}” keeps nothing: {said}.")
        return len(bench.lines())

    def _confirmed(self) -> str:
        """Confirm all that the outcome waits for: what nobody has read, else every doubted reading."""
        try:
            return self._bench.confirm_at(None)
        except InputRefused as refusal:
            return str(refusal)

    @property
    def _last_line(self) -> int:
        return self._lines.before(len(self._bench.lines()))

    def _keep_as_asked(self) -> SavedInspection | None:
        """Keep it once all is said that must be said with it; None: back to the lines."""
        bench, state = self._bench, self._bench.state
        try:
            if (earlier := state.to_tell_apart) is not None:
                return self._ask_again(earlier)
            if state.needs_put_right:
                last = state.actions[-1]
                failure = f"It failed on {date_words(last.opened_on)}, {last.what}."
                return self._keep(put_right=self._put_right(f"{failure} What was put right since?"))
            return self._keep()
        except InputRefused as refusal:
            self._talk.say(str(refusal))
            # It may rest on what another desk did.
            bench.open(bench.item.appliance.uid)
            return None

    def _ask_again(self, earlier: Recorded) -> SavedInspection | None:
        """Tell a retest from a slip."""
        chosen = self._talk.choice(
            f"It came to {earlier.outcome} on this visit. What is this?",
            ("a further inspection", "the correction of a slip", "neither: back to the lines"),
        )
        if chosen == 1:
            return self._correct(earlier.uid, self._talk.needed("What was mistyped?", "reason of the correction"))
        if chosen == 0 and (carried := self._bench.state.carried):
            self._talk.say(f"Not kept: {carried} as kept before; take them anew, “anew” empties all.")
            return None
        if chosen == 0 and self._bench.state.needs_put_right:
            return self._keep(put_right=self._put_right("What was put right since?"))
        return self._keep(remarks=self._talk.words("A remark? (empty: none)", "remark")) if chosen == 0 else None

    def _correct(self, earlier: Uid, reason: str) -> SavedInspection | None:
        """Keep a correction; where the record it replaces had more, and that changes the outcome, ask for that first."""
        bench, outcome = self._bench, self._bench.judged.outcome
        history = [past.inspection for past in bench.item.history]
        asked = with_what_was_begun(bench.register, bench.judged.entries, history, earlier)
        if asked.begun != bench.judged.entries.begun:
            bench.change(bench.entries.correcting(asked.begun))
            if bench.judged.outcome is not outcome:
                self._talk.say(
                    "Not kept yet: the record it corrects had more, and the correction is asked for that too. "
                    "Take it again, or keep the correction as it now stands."
                )
                return None
        return self._keep(supersedes=earlier, reason=reason)

    def _put_right(self, question: str) -> str:
        return self._talk.needed(question, "what was put right")

    def _keep(
        self, *, supersedes: Uid | None = None, reason: str = "", put_right: str = "", remarks: str = ""
    ) -> SavedInspection:
        bench = self._bench
        return keep_bench(
            bench.register,
            bench.who,
            bench.state,
            supersedes=supersedes,
            reason=reason,
            put_right=put_right,
            remarks=remarks,
        )
