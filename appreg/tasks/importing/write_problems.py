"""Write the rows that were left out as a table of their own, with what is wrong: to be mended, and imported again."""

from bisect import bisect_right
from collections.abc import Iterator
from itertools import count
from pathlib import Path

from appreg.core.values.uids import Uid
from appreg.exchange.column_mapping import Layout
from appreg.exchange.list_workbook import XLSX
from appreg.exchange.source_again import OUR_HEADS, BesideRow, TableAgain
from appreg.files import placed
from appreg.progress import Progress
from appreg.register.opening.register_file import Register
from appreg.tasks.importing.plan_import import PLANNERS, Tally, outcomes
from appreg.tasks.importing.row_plans import ImportOrder
from appreg.tasks.importing.told_rows import told_problems


def write_problems(
    register: Register, order: ImportOrder, out: Path, *, replace: bool = False, progress: Progress | None = None
) -> int:
    """Write the rows that are not taken, each with its own cells, and return how many; a workbook where it ends in .xlsx.

    What stands above the rows stays, so that the same mapping reads the table again. Call it before the list is taken
    in, or after: a row that is left out is left out again. Raises what write_whole raises.
    """
    left, starts = _left_out(register, order, progress)
    table = TableAgain(source=order.source, mapping=order.mapping, heads=OUR_HEADS)
    with placed(out, replace=replace) as draft:
        if out.suffix.lower() == XLSX:
            table.as_workbook(draft, _rows(table, left, starts))
        else:
            draft.write_bytes(table.as_text(_rows(table, left, starts)))
    return len(left)


def _left_out(
    register: Register, order: ImportOrder, progress: Progress | None
) -> tuple[dict[int, tuple[str, str]], list[int]]:
    """By line: what is wrong with the row and what to do; and the lines on which rows begin."""
    numbers = count(1)
    planner = PLANNERS[order.mapping.kind](register, order, lambda: Uid(f"{next(numbers):026}"))
    left: dict[int, tuple[str, str]] = {}
    starts: list[int] = []
    for row in outcomes(order, planner, Tally(order, planner), progress=progress):
        starts.append(row.line)
        if not row.state.is_taken:
            told = told_problems(order.mapping, row)
            wrong = "; ".join(f"{each.column}: {each.what}" if each.column else each.what for each in told)
            left[row.line] = (wrong, "; ".join(dict.fromkeys(each.todo for each in told)))
    return left, sorted(starts)


def _rows(table: TableAgain, left: dict[int, tuple[str, str]], starts: list[int]) -> Iterator[BesideRow]:
    """The lines of the rows that are left out, what is wrong beside the first line of each."""
    heads = {row.line for row in table.above}
    for row in table.read.rows():
        at = bisect_right(starts, row.line)
        if row.line in heads or not at or starts[at - 1] not in left:
            continue
        begins = starts[at - 1] == row.line
        if not begins and table.mapping.layout is Layout.WIDE:
            continue
        yield BesideRow(row, (str(row.line), *left[row.line]) if begins else ("",) * len(OUR_HEADS))
