"""Why the outcome is what it is, said at length and briefly: what failed and what is the matter with it, or what is missing."""

from appreg.core.judging.inspection_judging import TypedJudgement
from appreg.core.records.checks import Check
from appreg.core.values.outcomes import CheckResult, Outcome
from appreg.tasks.inspecting.open_bench import BenchItem
from appreg.ui.screens.bench.bench_entries import BenchEntries, LineId, Mark
from appreg.ui.screens.bench.bench_lines import TITLES, line_of, visual_line
from appreg.ui.screens.bench.bench_view import limit_text
from appreg.ui.screens.bench.bench_words import why_so
from appreg.ui.shell.key_words import key_of


def why_forms(judged: TypedJudgement, item: BenchItem, entries: BenchEntries) -> tuple[str, ...]:
    """Why it is so, the longest way to say it first and the briefest last."""
    if judged.outcome is Outcome.FAIL:
        return failure_words(judged, item, entries), why_so(judged)
    if judged.outcome is Outcome.PASS:
        return (why_so(judged),)
    return why_so(judged), _briefly(judged)


def failure_words(judged: TypedJudgement, item: BenchItem, entries: BenchEntries) -> str:
    """Each check that failed with what is the matter: what was seen and said, or the reading and its limit."""
    failed = [finding for finding in judged.judgement.findings if finding.result is CheckResult.FAIL]
    said = []
    for finding in failed:
        if finding.check is Check.VISUAL:
            said.append(_seen(item, entries) or TITLES[finding.check])
            continue
        remark = entries.remarks.get(line_of(finding.check), "")
        reading = f" {finding.reading} {finding.unit}, limit {limit_text(finding)}" if finding.reading else ""
        said.append(f"{TITLES[finding.check]}{reading}{f': {remark}' if remark else ''}")
    return "; ".join(said)


def _seen(item: BenchItem, entries: BenchEntries) -> str:
    """What was found bad at the look."""
    bad = [line for line in item.visual_lines if entries.marks.get(visual_line(line.id)) is Mark.BAD]
    return "; ".join(_with_remark(line.title, visual_line(line.id), entries) for line in bad)


def _with_remark(title: str, line: LineId, entries: BenchEntries) -> str:
    remark = entries.remarks.get(line, "")
    return f"{title}: {remark}" if remark else title


def _briefly(judged: TypedJudgement) -> str:
    """What is first to be done and how much else: short enough for one line of the narrowest terminal."""
    waiting = [TITLES[check] for check in judged.judgement.missing]
    unread = [TITLES[check] for check in Check if line_of(check) in judged.problems]
    waiting = [*unread, *(title for title in waiting if title not in unread)]
    if not waiting:
        confirm = key_of("bench.confirm", "^b")
        rests = judged.judgement.unconfirmed or judged.doubts()
        return f"{confirm} confirms what it rests on" if rests else "a reading proves nothing"
    first = f"unreadable: {waiting[0]}" if unread else f"still to do: {waiting[0]}"
    more = len(waiting) - 1
    return f"{first} and {more} more" if more else first
