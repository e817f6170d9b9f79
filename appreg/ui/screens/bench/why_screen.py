"""Why a line or an answer says what it says: its arithmetic, its source, and what would change the verdict."""

from collections.abc import Iterator
from typing import Final

from textual.containers import Horizontal, VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.judging.inspection_judging import TypedJudgement
from appreg.core.judging.left_out import SAID_LEFT_OUT
from appreg.core.records.findings import Finding
from appreg.core.rules.limits import terse
from appreg.core.values.outcomes import CheckResult
from appreg.core.values.text import shown
from appreg.ui.screens.bench.bench_lines import TITLES, BenchLine
from appreg.ui.screens.bench.bench_view import limit_text
from appreg.ui.shell.command_screen import CommandModal
from appreg.ui.shell.commands import Command

_REASONS: Final = {
    CheckResult.PASS: "the reading proves that the limit is met",
    CheckResult.FAIL: "the limit is not met",
    CheckResult.INCONCLUSIVE: "what the instrument shows proves neither that the limit is met nor that it is not",
    CheckResult.NOT_DONE: "nothing readable has been entered",
}


class WhyScreen(CommandModal[None]):
    """Arithmetic, source, edition and basis of what is asked about."""

    CSS_PATH = "why_screen.tcss"
    TITLE_IN_HELP = "Why"
    DECLARED = (Command(action="back", key="escape,enter,question_mark", label="back", help="Go back."),)

    def __init__(self, *, about: str, rows: tuple[tuple[str, str], ...]) -> None:
        """Show rows of what is asked and what is answered."""
        super().__init__()
        self._about = about
        self._rows = rows

    def compose_body(self) -> Iterator[Widget]:
        """Give one row a question."""
        with VerticalScroll():
            for asked, answer in self._rows:
                with Horizontal():
                    yield Static(asked, classes="asked", markup=False)
                    yield Static(shown(answer), classes="answer", markup=False)

    def load(self) -> None:
        """Say which line it is about."""
        self.show_place(f"Why · {self._about}")


def why_rows(line: BenchLine, judged: TypedJudgement) -> tuple[tuple[str, str], ...]:
    """What is asked and what is answered, row by row."""
    finding = judged.findings.get(line.check)
    if finding is None:
        return (("", "This check is not asked of the item; nothing is judged until a reading is typed."),)
    rows = [
        ("reading", _reading(finding)),
        ("limit", limit_text(finding) or "no figure: it is seen or tried"),
        ("arithmetic", finding.arithmetic if finding.comparison else ""),
        ("source", finding.source),
        ("basis", finding.basis),
        ("verdict", _verdict(line, judged, finding)),
        ("would change it", _would_change(finding)),
    ]
    return tuple((asked, answer) for asked, answer in rows if answer)


def _verdict(line: BenchLine, judged: TypedJudgement, finding: Finding) -> str:
    word = SAID_LEFT_OUT if finding.left_out else finding.result.value.replace("-", " ")
    because = _because(line, judged, finding)
    return word if because == word else f"{word}: {because}"


def _reading(finding: Finding) -> str:
    return f"{finding.reading} {finding.unit}".strip() if finding.reading else "none yet"


def _because(line: BenchLine, judged: TypedJudgement, finding: Finding) -> str:
    problem = judged.problems.get(line.id)
    if problem:
        return problem
    closing = judged.closed_by(line.check)
    if closing is not None:
        return f"closed, since “{TITLES[closing]}” failed"
    if not finding.comparison or line.check in judged.entries.left_out:
        return finding.arithmetic or "nothing has been said of it yet"
    against = judged.doubts(line.check)
    if against and finding.result is CheckResult.INCONCLUSIVE:
        return "; ".join(doubt.words for doubt in against)
    return _REASONS[finding.result]


def _would_change(finding: Finding) -> str:
    low, high = finding.limit_low, finding.limit_high
    if low is not None and high is not None:
        return f"below {terse(low)} or above {terse(high)} {finding.unit} it fails, between them it passes"
    if high is not None:
        limit = f"{terse(high)} {finding.unit}"
        return f"a reading up to {limit} passes, one above it fails; “<” with a larger figure proves nothing"
    if low is not None:
        limit = f"{terse(low)} {finding.unit}"
        return f"a reading from {limit} up passes, one below it fails; “>” with a smaller figure proves nothing"
    return ""
