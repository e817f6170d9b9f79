"""Tell what is due as a list to hand over: room by room, by date."""

from collections.abc import Sequence
from datetime import date
from itertools import groupby
from typing import Final

from appreg.core.values.told_tables import CellKind, Row, TableColumn, TableGroup, ToldTable
from appreg.paper.documents.item_words import NEXT_WORDS
from appreg.paper.documents.list_content import ListDocument
from appreg.register.lists.damaged_items import refuse_stray_records
from appreg.register.opening.register_file import Register
from appreg.schedule.due_states import DueState
from appreg.tasks.documents.paper_kinds import Asked
from appreg.tasks.documents.tell_sites import date_form_of, title_of
from appreg.tasks.planning.list_due import DueCounts, list_due
from appreg.tasks.standing.due_lines import DueLine

_SOON: Final = 30
"""Days ahead where none are named."""
_WHAT: Final = {
    "visual": NEXT_WORDS["visual"].removeprefix("next "),
    "test": NEXT_WORDS["test"].removeprefix("next "),
    "repair": "repair",
}
_COLUMNS: Final = (
    TableColumn(name="tag", head="tag", kind=CellKind.TAG, weight=12),
    TableColumn(name="item", head="item", weight=24),
    TableColumn(name="what", head="what", weight=22),
    TableColumn(name="due", head="due", kind=CellKind.DATE, weight=12),
    TableColumn(name="state", head="state", weight=13, loud=(DueState.OVERDUE, DueState.REPAIR_LATE, DueState.NEVER)),
    TableColumn(name="days", head="days", kind=CellKind.NUMBER, weight=7),
    TableColumn(name="because", head="because", weight=32),
)


def due_document(register: Register, asked: Asked, today: date) -> ListDocument:
    """What is overdue, due soon or never inspected; raises RegisterUnusable, InputRefused."""
    refuse_stray_records(register)
    within = _SOON if asked.within is None else asked.within
    board = list_due(register, today=today, within_days=within, site=asked.site)
    table = ToldTable(
        title="Due",
        columns=_COLUMNS,
        grouped_by=TableColumn(name="place", head="place"),
        groups=_by_place(board.with_repairs, one_site=asked.site is not None),
        none=f"nothing is due within {within} days",
    )
    return ListDocument(
        kind="Due list",
        title=title_of(register, asked.site),
        subtitle=f"What is overdue, due within {within} days, or was never inspected",
        counts=_counts(board.counts, within),
        tables=(table,),
        after=("An item may wait for two inspections, and stands in a line for each.",),
        dates=date_form_of(register, asked.site),
        printed=today,
    )


def _counts(counts: DueCounts, within: int) -> tuple[tuple[int, str], ...]:
    return (
        (counts.overdue_items, "items overdue"),
        (counts.due_soon_items, f"more within {within} days"),
        (counts.never, "never inspected"),
        (counts.withdrawn, "withdrawn, without lines"),
    )


def _by_place(lines: Sequence[DueLine], *, one_site: bool) -> tuple[TableGroup, ...]:
    """By site and room as they are called; within a room as they fall due."""

    def place(line: DueLine) -> str:
        return line.location.name if one_site else f"{line.site.name} · {line.location.name}"

    ordered = sorted(lines, key=lambda line: (place(line).casefold(), place(line)))
    return tuple(
        TableGroup(head=head, rows=tuple(_row(line) for line in own)) for head, own in groupby(ordered, key=place)
    )


def _row(line: DueLine) -> Row:
    item = line.appliance
    return (item.tag, item.name, _WHAT[line.what], line.due, line.state.value, line.days, line.because)
