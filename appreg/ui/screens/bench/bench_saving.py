"""What goes into the register beside the readings: remarks and attempts; pure."""

from appreg.core.check_limits import UNIT_OF_CHECK
from appreg.core.checks import Check
from appreg.tasks.open_bench import BenchItem
from appreg.ui.screens.bench.bench_entries import BenchEntries, LineId, Mark
from appreg.ui.screens.bench.bench_judging import BenchJudgement
from appreg.ui.screens.bench.bench_lines import TITLES, line_of, visual_line


def check_remarks(item: BenchItem, entries: BenchEntries) -> dict[Check, str]:
    """The remark of each check: what was seen, what the person said."""
    remarks = {
        check: _seen(item, entries) if check is Check.VISUAL else entries.remarks.get(line_of(check), "")
        for check in Check
    }
    return {check: remark for check, remark in remarks.items() if remark}


def attempts_by_check(entries: BenchEntries, judged: BenchJudgement) -> dict[Check, tuple[str, ...]]:
    """Every attempt of the checks that count, oldest first."""
    done = [check for check in UNIT_OF_CHECK if judged.closed_by(check) is None]
    attempts = {check: entries.all_attempts(line_of(check)) for check in done}
    return {check: every for check, every in attempts.items() if every}


def unsaveable(judged: BenchJudgement) -> tuple[LineId, str] | None:
    """The first line whose text would be lost, and the sentence that says so."""
    for line, problem in judged.problems.items():
        name = next((TITLES[check] for check in Check if line.startswith(check.value)), line)
        return line, f"{name}: {problem} Correct it or clear the field before the item is saved."
    return None


def _seen(item: BenchItem, entries: BenchEntries) -> str:
    parts = []
    for line in item.visual_lines:
        remark = entries.remarks.get(visual_line(line.id), "")
        if entries.marks.get(visual_line(line.id)) is Mark.BAD:
            parts.append(f"{line.title}: {remark}" if remark else line.title)
        elif remark:
            parts.append(f"{line.title} (ok): {remark}")
    parts.append(entries.remarks.get(line_of(Check.VISUAL), ""))
    return "; ".join(part for part in parts if part)
