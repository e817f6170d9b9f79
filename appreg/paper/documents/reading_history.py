"""The readings of an item over its inspections, in series that may be compared: one check, measured alike."""

from collections.abc import Iterable
from typing import Final

from msgspec import Struct

from appreg.core.judging.methods import likeness_kept, method_text, method_words
from appreg.core.records.checks import Check
from appreg.core.records.kept_records import FindingRecord
from appreg.core.values.dates_in_words import DateForm, date_words
from appreg.core.values.outcomes import CheckResult
from appreg.paper.documents.item_lines import InspectedItem
from appreg.paper.documents.item_words import check_words, limit_words, reading_words
from appreg.paper.documents.reading_bar import bounds_of, reading_of, share_of
from appreg.paper.page.history_chart import ChartPoint
from appreg.paper.page.text_blocks import Form

_FORMS: Final = {CheckResult.PASS.value: Form.FRAME, CheckResult.FAIL.value: Form.BAR}
_SHOWN: Final = {Form.FRAME: "passed", Form.BAR: "failed", Form.DASHES: "proves neither"}
_ORDER: Final = {check.value: place for place, check in enumerate(Check)}
CHART_LEGEND: Final = (
    "Charts: each square is a reading on its day, open where it passed, full where it failed, dashed where it proves neither; "
    "the thick line is the limit that was applied, and steps where that changed. A dashed column is how far the reading may go, "
    "by its sign < or > or by the uncertainty of the instrument. What lies beyond the chart stands at its edge with its figure. Insulation is drawn by powers of ten."
)


class ReadingSeries(Struct, frozen=True, kw_only=True):
    """Readings of one check that were taken alike."""

    title: str
    points: tuple[ChartPoint, ...]
    """By day, the oldest first."""

    def told(self, dates: DateForm) -> str:
        """What its chart shows, in words."""
        each = (f"{date_words(at.on, dates)} {at.words}, limit {at.limit}, {_SHOWN[at.form]}" for at in self.points)
        return f"Chart of {self.title}: {'; '.join(each)}."


def reading_series(history: Iterable[InspectedItem]) -> tuple[ReadingSeries, ...]:
    """The series of inspections that count, by check; what one figure does not decide is in none of them."""
    found: dict[tuple[str, str], list[ChartPoint]] = {}
    for line in history:
        for finding in line.findings:
            point = _point(line, finding)
            alike = likeness_kept(finding.method, finding.remark)
            if point is not None and alike is not None:
                words = method_words(method_text(alike))
                found.setdefault((finding.check_name, words), []).append(point)
    return tuple(
        ReadingSeries(
            title=" · ".join(part for part in (check_words(check), how) if part),
            points=tuple(sorted(points, key=lambda each: each.on)),
        )
        for (check, how), points in sorted(found.items(), key=lambda each: (_ORDER.get(each[0][0], 99), each[0]))
    )


def _point(line: InspectedItem, finding: FindingRecord) -> ChartPoint | None:
    reading = reading_of(finding)
    if line.inspection is None or reading is None or reading.value is None or share_of(finding) is None:
        return None
    least, most = bounds_of(reading, finding)
    return ChartPoint(
        on=line.inspection.date,
        value=reading.value,
        least=least,
        most=most,
        form=_FORMS.get(finding.finding, Form.DASHES),
        words=reading_words(finding),
        low=finding.limit_low,
        high=finding.limit_high,
        limit=limit_words(finding),
    )
