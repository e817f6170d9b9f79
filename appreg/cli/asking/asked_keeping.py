"""From the outcome to the register: what it came to, what must be said before it is kept, and keeping it."""

from appreg.cli.asking.asked_commands import Stopped
from appreg.cli.asking.asked_lines import AskedLines
from appreg.cli.asking.asked_words import without_keys
from appreg.cli.asking.line_bench import LineBench
from appreg.cli.asking.talk import Talk
from appreg.core.records.kept_records import Inspection
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.tasks.inspecting.ask_for_what_was_begun import with_what_was_begun
from appreg.tasks.inspecting.finish_bench import finish_bench
from appreg.tasks.inspecting.record_inspection import SavedInspection
from appreg.tasks.records.merge_changes import ChangedMeanwhile
from appreg.ui.screens.bench.bench_judging import confirmed_doubts, seen_facts
from appreg.ui.screens.bench.bench_lines import carried_words, line_of
from appreg.ui.screens.bench.bench_record import attempts_by_check, check_remarks, unsaveable
from appreg.ui.screens.bench.bench_walk import inspection_in
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
        """Ask the lines, then whether to keep it; raises Stopped or AnswersEnded where it is left as it stands."""
        at = 0
        while True:
            self._lines.walk(at)
            saved = self._outcome()
            if saved is not None:
                return saved
            lost = unsaveable(self._bench.judged)
            at = self._lines.start_at(lost[0]) if lost else self._lines.before(len(self._bench.lines()))

    def _outcome(self) -> SavedInspection | None:
        """Say what it came to and keep it; None: back to the lines."""
        bench, judged = self._bench, self._bench.judged
        if bench.entries.is_untouched or bench.state.is_as_kept:
            self._talk.say(
                "It stays as it was kept."
                if bench.state.is_as_kept
                else "Nothing is looked at or measured yet, so nothing is kept."
            )
            raise Stopped
        if (lost := unsaveable(judged)) is not None:
            self._talk.say(lost[1])
            return None
        self._talk.say(
            f"{judged.outcome.value.upper()}: {without_keys(why_so(judged))}",
            IF_FAILED if judged.outcome is Outcome.FAIL else what_follows(bench.item, bench.entries.kind),
            advice_text(judged),
        )
        said, words = _KEEPS[judged.outcome]
        typed = self._talk.ask(f"{said}, < goes back, stop leaves it half-filled").casefold()
        if typed in words:
            return self._keep_as_asked()
        if typed == "stop":
            raise Stopped
        if typed == "confirm":
            self._confirm()
        return None

    def _confirm(self) -> None:
        """Confirm all that the outcome waits for: what nobody has read, else every doubted reading."""
        bench = self._bench
        if facts := bench.assumed_at(None):
            bench.confirm(facts)
            return
        for doubt in bench.judged.doubts():
            bench.change(bench.entries.confirming(line_of(doubt.check), doubt.words))

    def _keep_as_asked(self) -> SavedInspection | None:
        bench = self._bench
        earlier = inspection_in(bench.state.items, bench.item.appliance.uid)
        carried = carried_words(bench.item, bench.entries)
        again = earlier is not None and (earlier.outcome is not Outcome.INCOMPLETE or (bench.state.actions and carried))
        try:
            if earlier is not None and again:
                return self._ask_again(earlier, carried)
            if bench.state.needs_put_right:
                last = bench.state.actions[-1]
                failure = f"It failed on {date_words(last.opened_on)}, {last.what}."
                return self._keep(put_right=self._needed(f"{failure} What was put right since?", "what was put right"))
            return self._keep()
        except InputRefused as refusal:
            self._talk.say(str(refusal))
            if isinstance(refusal, ChangedMeanwhile):
                bench.state.tell_of(refusal.base)
            # It may rest on what another desk did.
            bench.open(bench.item.appliance.uid)
            return None

    def _ask_again(self, earlier: Inspection, carried: str) -> SavedInspection | None:
        """Tell a retest from a slip."""
        chosen = self._talk.choice(
            f"It came to {earlier.outcome} on this visit. What is this?",
            ("a further inspection", "the correction of a slip", "neither: back to the lines"),
        )
        if chosen == 1:
            return self._correct(earlier.uid, self._needed("What was mistyped?", "reason of the correction"))
        if chosen == 0 and carried:
            self._talk.say(f"Not kept: {carried} as kept before; take them anew, “anew” empties all.")
            return None
        if chosen == 0 and self._bench.state.needs_put_right:
            return self._keep(put_right=self._needed("What was put right since?", "what was put right"))
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

    def _needed(self, question: str, field: str) -> str:
        while not (said := self._talk.words(question, field)):
            self._talk.say("Nothing is said; stop leaves it half-filled.")
        if said == "stop":
            raise Stopped
        return said

    def _keep(
        self, *, supersedes: Uid | None = None, reason: str = "", put_right: str = "", remarks: str = ""
    ) -> SavedInspection:
        bench, item, entries = self._bench, self._bench.item, self._bench.entries
        return finish_bench(
            bench.register,
            bench.who,
            appliance=item.appliance.uid,
            visit=bench.state.visit,
            kind=entries.kind,
            entries=bench.judged.entries,
            check_remarks=check_remarks(item, entries),
            attempts=attempts_by_check(entries, bench.judged),
            supersedes=supersedes,
            reason=reason,
            confirmed=seen_facts(item, entries),
            put_right=put_right,
            remarks=remarks,
            read_so=confirmed_doubts(entries),
            seen=bench.state.known,
        )
