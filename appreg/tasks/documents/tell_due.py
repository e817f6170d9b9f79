"""Tell what is due as a list to hand over: room by room, by date."""

from collections.abc import Sequence
from datetime import date
from typing import Final

from appreg.core.values.dates_in_words import DateForm
from appreg.core.values.told_tables import CellKind, Row, TableColumn, ToldTable
from appreg.paper.documents.item_words import NEXT_WORDS
from appreg.paper.documents.list_content import ListDocument
from appreg.register.lists.damaged_items import refuse_stray_records
from appreg.register.opening.register_file import Register
from appreg.schedule.due_states import DueState
from appreg.tasks.documents.paper_kinds import Asked
from appreg.tasks.documents.tell_sites import PLACE, by_place, date_form_of, title_of
from appreg.tasks.planning.list_due import DueBoard, list_due
from appreg.tasks.standing.due_lines import DueLine

_SOON: Final = 30
"""Days ahead where none are named."""
WHAT_WORDS: Final = {
    "visual": NEXT_WORDS["visual"].removeprefix("next "),
    "test": NEXT_WORDS["test"].removeprefix("next "),
    "repair": "repair",
}
_COLUMNS: Final = (
    TableColumn(name="tag", head="tag", kind=CellKind.TAG, weight=12),
    TableColumn(name="item", head="item", weight=22),
    TableColumn(name="what", head="what", weight=20),
    TableColumn(name="due", head="due", kind=CellKind.DATE, weight=16),
    TableColumn(name="state", head="state", weight=17, loud=(DueState.OVERDUE, DueState.REPAIR_LATE, DueState.NEVER)),
    TableColumn(name="days", head="days", kind=CellKind.NUMBER, weight=7),
    TableColumn(name="because", head="because", weight=30),
)


def due_document(register: Register, asked: Asked, today: date) -> ListDocument:
    """What is overdue, due soon or never inspected; raises RegisterUnusable, InputRefused."""
    refuse_stray_records(register)
    within = _SOON if asked.within is None else asked.within
    board = list_due(register, today=today, within_days=within, site=asked.site)
    return due_list(
        [board],
        title=title_of(register, asked.site),
        within=within,
        today=today,
        one_site=asked.site is not None,
        dates=date_form_of(register, asked.site),
    )


def due_list(
    boards: Sequence[DueBoard], *, title: str, within: int, today: date, one_site: bool, dates: DateForm
) -> ListDocument:
    """What some boards hold, say those of a few sites, as one list."""

    def place(line: DueLine) -> str:
        return line.location.name if one_site else f"{line.site.name} · {line.location.name}"

    table = ToldTable(
        title="Due",
        columns=_COLUMNS,
        grouped_by=PLACE,
        groups=by_place([line for board in boards for line in board.with_repairs], place, _row),
        none=f"nothing is due within {within} days",
    )
    return ListDocument(
        kind="Due list",
        title=title,
        subtitle=f"What is overdue, due within {within} days, or was never inspected",
        counts=_counts(boards, within),
        tables=(table,),
        after=("An item may wait for two inspections and several repairs, and stands in a line for each.",),
        dates=dates,
        printed=today,
    )


def _counts(boards: Sequence[DueBoard], within: int) -> tuple[tuple[int, str], ...]:
    counts, repairs = [board.counts for board in boards], sum(len(board.repairs) for board in boards)
    return (
        (sum(each.overdue_items for each in counts), "items overdue"),
        (sum(each.due_soon_items for each in counts), f"more within {within} days"),
        (sum(each.never for each in counts), "never inspected"),
        (sum(each.withdrawn for each in counts), "withdrawn, without inspections"),
        *([(repairs, "failure to put right" if repairs == 1 else "failures to put right")] if repairs else []),
    )


def _row(line: DueLine) -> Row:
    item = line.appliance
    return (item.tag, item.name, WHAT_WORDS[line.what], line.due, line.state.value, line.days, line.because)
