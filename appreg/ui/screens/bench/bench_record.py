"""From the bench to the record: remarks and attempts by check, what cannot be kept, and keeping all of it."""

from appreg.core.judging.inspection_judging import TypedJudgement
from appreg.core.records.checks import Check
from appreg.core.rules.check_limits import UNIT_OF_CHECK
from appreg.core.values.outcomes import AS_FOUND_BAD
from appreg.core.values.uids import Uid
from appreg.register.opening.register_file import Register
from appreg.tasks.inspecting.finish_bench import finish_bench
from appreg.tasks.inspecting.open_bench import BenchItem
from appreg.tasks.inspecting.record_inspection import SavedInspection
from appreg.tasks.records.merge_changes import ChangedMeanwhile
from appreg.ui.screens.bench.bench_entries import BenchEntries, LineId, Mark
from appreg.ui.screens.bench.bench_judging import confirmed_doubts, seen_facts
from appreg.ui.screens.bench.bench_lines import TITLES, line_of, visual_line
from appreg.ui.screens.bench.bench_state import BenchState


def keep_bench(
    register: Register,
    who: str,
    state: BenchState,
    *,
    supersedes: Uid | None = None,
    reason: str = "",
    put_right: str = "",
    remarks: str = "",
) -> SavedInspection:
    """Keep what stands on the bench as an inspection; raises InputRefused as finish_bench() does.

    An inspection recorded elsewhere meanwhile is told of once, by ChangedMeanwhile, and then known.
    """
    item, entries, judged = state.item, state.entries, state.judged
    if item is None or judged is None:
        raise LookupError("nothing is on the bench")
    try:
        return finish_bench(
            register,
            who,
            appliance=item.appliance.uid,
            visit=state.visit,
            kind=entries.kind,
            entries=judged.entries,
            check_remarks=check_remarks(item, entries),
            attempts=attempts_by_check(entries, judged),
            supersedes=supersedes,
            reason=reason,
            confirmed=seen_facts(item, entries),
            put_right=put_right,
            remarks=remarks,
            read_so=confirmed_doubts(entries),
            seen=state.known,
        )
    except ChangedMeanwhile as told:
        state.tell_of(told.base)
        raise


def check_remarks(item: BenchItem, entries: BenchEntries) -> dict[Check, str]:
    """The remark of each check: what was seen, what the person said."""
    remarks = {
        check: _seen(item, entries) if check is Check.VISUAL else _said_of(line_of(check), entries) for check in Check
    }
    return {check: remark for check, remark in remarks.items() if remark}


def attempts_by_check(entries: BenchEntries, judged: TypedJudgement) -> dict[Check, tuple[str, ...]]:
    """Every attempt of the checks that count, oldest first."""
    done = [check for check in UNIT_OF_CHECK if judged.closed_by(check) is None]
    attempts = {check: entries.all_attempts(line_of(check)) for check in done}
    for line in entries.put_right:
        check = Check(line.partition("/")[0])
        if check in judged.findings:
            now = judged.findings[check].result.value
            attempts[check] = (f"{entries.times.get(line, '')} {AS_FOUND_BAD}".strip(), now)
    return {check: every for check, every in attempts.items() if every}


def unsaveable(judged: TypedJudgement) -> tuple[LineId, str] | None:
    """The first line whose text would be lost, and the sentence that says so."""
    for line, problem in judged.problems.items():
        name = next((TITLES[check] for check in Check if line.startswith(check.value)), line)
        return LineId(line), f"{name}: {problem} Correct it or clear the field before the item is saved."
    return None


def _said_of(line: LineId, entries: BenchEntries) -> str:
    return _put_right(line, entries) or entries.remarks.get(line, "")


def _put_right(line: LineId, entries: BenchEntries) -> str:
    """What was found and what was done about it on the spot; empty where nothing was."""
    if line not in entries.put_right:
        return ""
    return f"found {entries.remarks.get(line) or 'bad'}; put right on the spot: {entries.put_right[line]}"


def _seen(item: BenchItem, entries: BenchEntries) -> str:
    parts = []
    for line in item.visual_lines:
        remark = entries.remarks.get(visual_line(line.id), "")
        mended = _put_right(visual_line(line.id), entries)
        if mended:
            parts.append(f"{line.title}: {mended}")
        elif entries.marks.get(visual_line(line.id)) is Mark.BAD:
            parts.append(f"{line.title}: {remark}" if remark else line.title)
        elif remark:
            parts.append(f"{line.title} (ok): {remark}")
    parts.append(entries.remarks.get(line_of(Check.VISUAL), ""))
    return "; ".join(part for part in parts if part)
