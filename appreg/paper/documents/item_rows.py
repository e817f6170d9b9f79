"""Rows of the item table that register and report share."""

from datetime import date
from typing import Final

from msgspec import Struct

from appreg.core.judging.methods import method_words
from appreg.core.records.kept_records import FindingRecord
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.outcomes import CheckResult, Outcome
from appreg.paper.documents.item_lines import InspectedItem
from appreg.paper.documents.item_words import (
    LOOKED_AT,
    NEXT_WORDS,
    assumed_words,
    check_words,
    class_words,
    cord_words,
    doubt_words,
    finding_words,
    last_words,
    limit_words,
    limited_words,
    measured_words,
    owner_words,
    plate_words,
    reading_words,
    state_words,
)
from appreg.paper.documents.reading_bar import reading_bar
from appreg.paper.page.form_parts import aligned
from appreg.paper.page.page_canvas import Ink, PageCanvas
from appreg.paper.page.text_blocks import Block, Form, Line, badge, below, beside, gap, stacked
from appreg.schedule.due_states import DueState, due_state, nothing_due

TAG: Final = Ink(9.5, bold=True)
NAME: Final = Ink(8.5, bold=True)
TEXT: Final = Ink(7.5)
STRONG: Final = Ink(7.5, bold=True)
SMALL: Final = Ink(7.0)
HEAD: Final = Ink(7.0)
BADGE_POINTS: Final = 7.5
VERDICT_FORMS: Final = {Outcome.PASS: Form.FRAME, Outcome.FAIL: Form.BAR, Outcome.INCOMPLETE: Form.DASHES}
GUTTER: Final = 2.5
"""Between columns, mm."""


class CheckColumns(Struct, frozen=True, kw_only=True):
    """Widths of the four columns of readings, mm."""

    check: float
    reading: float
    limit: float
    finding: float

    @property
    def width(self) -> float:
        """All four together."""
        return self.check + self.reading + self.limit + self.finding


def verdict_block(item: InspectedItem, width: float, canvas: PageCanvas) -> Block:
    """Set tag, verdict and date of the shown inspection."""
    tag = stacked([Line(item.appliance.tag, TAG)], width, canvas)
    inspection = item.inspection
    if inspection is None:
        verdict, when = stacked([Line(item.stated or "never inspected", STRONG)], width, canvas), ""
    else:
        words = inspection.outcome.value.upper()
        verdict = badge(words, width, BADGE_POINTS, VERDICT_FORMS[inspection.outcome], canvas)
        when = date_words(inspection.date, item.dates)
    kind = LOOKED_AT if item.only_looked else ""
    below_it = [
        Line(when, TEXT),
        Line(kind, STRONG),
        *(Line(words, TEXT) for words in last_words(item)),
        Line(item.stated if inspection is not None else "", STRONG),
        Line(state_words(item.appliance), STRONG),
    ]
    return below([tag, gap(0.4), verdict, gap(0.7), stacked(below_it, width, canvas)])


def item_block(item: InspectedItem, width: float, canvas: PageCanvas, *, with_place: bool) -> Block:
    """Set what the item is; with its place and class where no column of their own holds them."""
    thing = item.appliance
    place = [Line(item.location, TEXT), Line(class_words(thing), TEXT)] if with_place else []
    remarks = item.inspection.remarks if item.inspection is not None else ""
    lines = [
        Line(thing.name, NAME),
        *place,
        Line(plate_words(thing), SMALL),
        Line(cord_words(thing), SMALL),
        Line(owner_words(thing), SMALL),
        Line(assumed_words(item), SMALL),
        Line(measured_words(item), SMALL),
        Line(limited_words(item), STRONG),
        Line(item.corrected, STRONG),
        Line(remarks, TEXT),
        *advice_lines(item),
    ]
    return stacked(lines, width, canvas)


def advice_lines(item: InspectedItem) -> list[Line]:
    """Set the advice given on the day."""
    advice = item.inspection.advice if item.inspection is not None else ()
    return [Line(f"advice: {sentence}", TEXT) for sentence in advice]


def place_block(item: InspectedItem, width: float, canvas: PageCanvas) -> Block:
    """Set where the item is, and its class and type."""
    thing = item.appliance
    lines = [
        Line(item.location, TEXT),
        Line(thing.appliance_class.label, TEXT),
        Line(thing.equipment_type.label, TEXT),
    ]
    return stacked(lines, width, canvas)


def checks_block(item: InspectedItem, columns: CheckColumns, canvas: PageCanvas) -> Block:
    """Set each check with reading, limit and finding, its arithmetic small beneath."""
    inspection = item.inspection
    if inspection is None:
        return Block(0.0)
    listed = {finding.check_name for finding in item.findings}
    missing = ", ".join(check_words(name) for name in inspection.missing if name not in listed)
    tail = [Line(f"not done: {missing}" if missing else "", STRONG)]
    rows = [_check_row(finding, columns, canvas) for finding in item.findings]
    return below([*rows, stacked(tail, columns.width, canvas), *_tested_rows(item, columns, canvas)])


def _tested_rows(item: InspectedItem, columns: CheckColumns, canvas: PageCanvas) -> list[Block]:
    """Set what the last test read, beneath what a later look saw."""
    if item.last_test is None or not item.tested:
        return []
    when, person = date_words(item.last_test.inspection.date, item.dates), item.last_test.person
    head = stacked([Line(f"readings of the last test, {when}, {person}:", STRONG)], columns.width, canvas)
    return [gap(0.8), head, *(_check_row(finding, columns, canvas) for finding in item.tested)]


def _check_row(finding: FindingRecord, columns: CheckColumns, canvas: PageCanvas) -> Block:
    passed = finding.finding == CheckResult.PASS
    ink = TEXT if passed else STRONG
    came_to = stacked([Line(finding_words(finding), ink)], columns.finding - 1.5, canvas)
    left = columns.check, columns.check + columns.reading
    blocks = [
        (0.0, stacked([Line(check_words(finding.check_name), ink)], columns.check - 1.5, canvas)),
        (left[0], aligned(reading_words(finding), columns.reading - 1.5, ink, canvas)),
        (left[1], aligned(limit_words(finding), columns.limit - 1.5, TEXT, canvas)),
        (left[1] + columns.limit, came_to),
    ]
    notes = [
        Line(method_words(finding.method), SMALL),
        Line(finding.arithmetic, SMALL),
        Line(doubt_words(finding), SMALL),
        Line(finding.remark, TEXT),
    ]
    first = beside(blocks)
    words = below([first, stacked(notes, columns.width - columns.finding - 1.5, canvas)])
    bar = below([gap(first.height + 0.5), reading_bar(finding, columns.finding - 1.5)])
    return below([beside([(0.0, words), (columns.width - columns.finding, bar)]), gap(0.3)])


def next_block(item: InspectedItem, width: float, canvas: PageCanvas, *, on: date) -> Block:
    """Set the next dates with their state, and the interval with its reason."""
    if item.inspection is None and not item.stated:
        return stacked([Line("never inspected", STRONG), Line(item.interval, SMALL)], width, canvas)
    if item.failed:
        return stacked([Line("out of use until it has passed again", STRONG)], width, canvas)
    thing = item.appliance
    if nothing := nothing_due(thing.state):
        return stacked([Line(nothing, TEXT), Line(item.interval, SMALL)], width, canvas)
    lines: list[Line] = []
    for what, due in (("visual", thing.next_visual), ("test", thing.next_test)):
        lines += _due_lines(NEXT_WORDS[what], due, item, on=on)
    return stacked([*lines, Line(item.interval, SMALL)], width, canvas)


def _due_lines(what: str, due: date | None, item: InspectedItem, *, on: date) -> list[Line]:
    state = due_state(due, inspected=True, today=on, within_days=0)
    if due is None:
        return [Line(f"{what}:", TEXT), Line(state.value, TEXT)]
    late = state is DueState.OVERDUE
    return [
        Line(what, TEXT),
        Line(date_words(due, item.dates), STRONG if late else TEXT),
        Line("overdue" if late else "", STRONG),
    ]


def by_block(item: InspectedItem, width: float, canvas: PageCanvas) -> Block:
    """Set who inspected, with which instrument, by which rules."""
    inspection = item.inspection
    rules = f"rules {inspection.rule_book_version}" if inspection is not None else ""
    lines = [Line(item.person, TEXT), Line(item.instrument, SMALL), Line(rules, SMALL)]
    return stacked(lines, width, canvas)
