"""What was found the last time, check by check, with what was said of it: shown beside the lines, and no verdict of today."""

from typing import Final

from textual.content import Content

from appreg.core.judging.methods import kept_readings
from appreg.core.records.kept_records import FindingRecord, StatedInspection
from appreg.core.records.stated_words import stated_words
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.outcomes import CheckResult, Outcome
from appreg.core.values.text import shown
from appreg.tasks.inspecting.open_bench import BenchItem, PastInspection
from appreg.ui.screens.bench.bench_lines import TITLES

_TITLE: Final = 14
_NAMES: Final = {check.value: title for check, title in TITLES.items()}
_STYLES: Final = {Outcome.PASS: "$pass", Outcome.FAIL: "bold $fail", Outcome.INCOMPLETE: "$doubt"}


def last_time(item: BenchItem) -> PastInspection | None:
    """The latest inspection that counts; None where there is none."""
    return next((past for past in item.history if not (past.superseded or past.taken_back)), None)


def last_time_page(past: PastInspection | None, stated: StatedInspection | None = None) -> Content:
    """The page of it: day, person and outcome, then a line for each check that was done.

    `stated`, what another states of it, comes before where it is the later.
    """
    if past is None:
        return Content.styled("never inspected", "$quiet") if stated is None else _stated_line(stated)
    page = _page(past)
    return Content("\n").join([_stated_line(stated), page]) if stated and stated.on > past.inspection.date else page


def _stated_line(stated: StatedInspection) -> Content:
    return Content.styled(shown(stated_words(stated)), "$doubt")


def _page(past: PastInspection) -> Content:
    said = past.inspection
    word = said.outcome.value.upper() if said.outcome is Outcome.FAIL else said.outcome.value
    head = Content.assemble(
        f"{date_words(said.date)} · {shown(past.person.initials)} · ", (word, _STYLES[said.outcome])
    )
    done = [each for each in past.findings if each.finding != CheckResult.NOT_DONE]
    return Content("\n").join([head, *(_line(each) for each in done)])


def _line(finding: FindingRecord) -> Content:
    name = _NAMES.get(finding.check_name, finding.check_name)
    reading = kept_readings(finding.method, finding.reading)
    failed = finding.finding == CheckResult.FAIL
    said = " ".join(part for part in (reading, finding.unit if reading else "") if part)
    said = said or ("ok" if finding.finding == CheckResult.PASS else finding.finding)
    told = f"{said}, FAIL" if failed else said
    remark = f": {finding.remark}" if finding.remark else ""
    return Content.assemble(
        (f"{shown(name):<{_TITLE}}", "$quiet"), (shown(f"{told}{remark}"), "$fail" if failed else "")
    )
