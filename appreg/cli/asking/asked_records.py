"""What is recorded of an item beside its inspection: that it is not inspected, its repair, and an inspection taken back."""

from appreg.cli.asking.line_bench import LineBench
from appreg.cli.asking.talk import Left, Talk
from appreg.clock import local_today
from appreg.core.records.work_records import NotInspectedBecause, RemedialAction
from appreg.core.values.typed_values import date_typed
from appreg.errors import InputRefused, asked_for
from appreg.tasks.inspecting.record_not_inspected import record_not_inspected
from appreg.tasks.inspecting.record_repair import record_repair
from appreg.tasks.inspecting.start_visit import refuse_day_ahead
from appreg.tasks.inspecting.take_back_inspection import take_back_inspection
from appreg.ui.screens.bench.bench_words import AFTER_REPAIR


class AskedRecords:
    """Asks for what such a record needs, and keeps it; each raises InputRefused where there is none to be kept."""

    def __init__(self, bench: LineBench, talk: Talk) -> None:
        """Serve one item."""
        self._bench = bench
        self._talk = talk

    def take_back(self) -> None:
        """Take back what was kept of the item on this visit last; what was entered for it stands again."""
        bench, kept = self._bench, self._bench.kept
        tag = bench.item.appliance.tag
        if kept is None:
            raise InputRefused(f"Nothing of {tag} has been kept on this visit yet, so there is nothing to take back.")
        take_back_inspection(bench.register, bench.who, kept.uid)
        bench.open_anew(kept.kind)
        self._talk.say(f"Taken back: {tag} {kept.outcome}.")

    def leave_out(self) -> None:
        """Say why the item is not inspected on this visit; raises Left once that is kept."""
        bench = self._bench
        tag = bench.item.appliance.tag
        if not bench.entries.is_untouched:
            raise InputRefused("Something is entered here; anew empties the item first.")
        reasons = [*NotInspectedBecause]
        because = reasons[self._talk.choice(f"Why is {tag} not inspected?", [each.value for each in reasons])]
        note = self._talk.words("A note? (empty: none)", "note")
        item, visit = bench.item.appliance.uid, bench.state.visit
        record_not_inspected(bench.register, bench.who, appliance=item, visit=visit, because=because, note=note)
        raise Left

    def repair(self) -> None:
        """Record what was done about the failure that stands, and who was told."""
        bench, talk = self._bench, self._talk
        if not bench.state.actions:
            raise InputRefused("Nothing has failed here that still waits for a repair.")
        action = bench.state.actions[-1]
        done = talk.words(f"To be put right: {action.what}. What was done? (empty: nothing yet)", "repair")
        told = talk.words("Who was told? (empty: as it stands)", "told")
        if not done and not told:
            raise InputRefused("Nothing is said, so nothing is recorded.")
        self._keep_repair(action, done, told)
        bench.open(bench.item.appliance.uid)
        talk.say("The repair is recorded." if done else "It is recorded who was told.", AFTER_REPAIR if done else "")
        if done and bench.entries.carried:
            bench.change(bench.entries.anew())
            talk.say("Every line is empty.")

    def _keep_repair(self, action: RemedialAction, done: str, told: str) -> None:
        """Ask for its day until it can be one."""
        bench, today = self._bench, local_today()
        while True:
            try:
                with asked_for("on"):
                    typed = self._talk.ask("On which day? (empty: today)") if done else ""
                    on = date_typed(typed, field="date", today=today) or today
                    refuse_day_ahead(on, today=today, field="date")
                record_repair(
                    bench.register,
                    bench.who,
                    action=action.uid,
                    repair=done,
                    on=on if done else None,
                    told=told,
                    opened=action,
                )
            except InputRefused as refusal:
                if refusal.field != "on":
                    raise
                self._talk.say(str(refusal))
            else:
                return
