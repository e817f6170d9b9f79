"""Plan an import: what each row of a table comes to, with nothing kept."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date
from functools import partial
from itertools import count
from typing import Final, Protocol

from appreg.core.values.counted_words import counted
from appreg.core.values.uids import Uid
from appreg.exchange.column_mapping import ColumnMapping, Layout
from appreg.exchange.import_fields import ImportKind
from appreg.exchange.mapped_row import MappedRow
from appreg.exchange.mapped_rows import mapped_rows
from appreg.exchange.source_file import Source
from appreg.exchange.source_rows import SourceRow
from appreg.progress import Progress, shared, tell
from appreg.register.opening.register_file import Register
from appreg.tasks.importing.plan_items import ItemPlanner
from appreg.tasks.importing.plan_people import PeoplePlanner
from appreg.tasks.importing.plan_results import ResultPlanner
from appreg.tasks.importing.plan_sites import SitePlanner
from appreg.tasks.importing.result_order import item_by_item, none_torn_apart
from appreg.tasks.importing.row_plans import MOST_SHOWN, ImportOrder, ImportPlan, PlannedRow, RowOutcome, RowState
from appreg.tasks.importing.told_rows import told_row

_AT_ONCE: Final = 2000
"""Rows that are read before the register is asked about them."""
_READ: Final = 10
"""Hundredths of the work that are done once results are read and stand item by item."""
_PASSED_OVER: Final = 40
"""Lines that are told of those passed over."""
_STOPPED: Final = "Stopped after {} of the list; nothing was changed."


class Planner(Protocol):
    """Plans the rows of one kind of table."""

    @property
    def made(self) -> Mapping[str, tuple[str, ...]]:
        """What is made beside the rows' own records, by kind in words."""
        ...

    def waits(self, row: MappedRow) -> bool:
        """Tell whether a row is better planned after all others."""
        ...

    def planned(self, rows: Sequence[MappedRow]) -> Iterator[RowOutcome]:
        """What each row comes to, in their order."""
        ...

    def words(self, name: str, value: object) -> str:
        """The value of a field as people know it: the name of what it refers to."""
        ...


PLANNERS: Final[Mapping[ImportKind, Callable[[Register, ImportOrder, Callable[[], Uid]], Planner]]] = {
    ImportKind.ITEMS: ItemPlanner,
    ImportKind.SITES: SitePlanner,
    ImportKind.PEOPLE: PeoplePlanner,
    ImportKind.RESULTS: ResultPlanner,
}
"""By kind of table: what plans its rows."""


def plan_import(
    register: Register,
    source: Source,
    mapping: ColumnMapping,
    *,
    site: Uid | None,
    today: date,
    read_from_items: bool = False,
    give_tags: bool = False,
    add_people: bool = False,
    labels: bool = False,
    progress: Progress | None = None,
) -> ImportPlan:
    """What every row comes to; writes nothing. Raises InputRefused where the table as a whole cannot be read."""
    order = ImportOrder(
        source=source,
        mapping=mapping,
        site=site,
        today=today,
        read_from_items=read_from_items,
        give_tags=give_tags,
        add_people=add_people,
        labels=labels,
    )
    return plan_order(register, order, progress=progress)


def plan_order(register: Register, order: ImportOrder, *, progress: Progress | None = None) -> ImportPlan:
    """As plan_import(), of an order that was given before."""
    numbers = count(1)
    planner = PLANNERS[order.mapping.kind](register, order, lambda: Uid(f"{next(numbers):026}"))
    tally = Tally(order, planner)
    for _ in outcomes(order, planner, tally, progress=progress):
        pass
    return tally.plan()


def outcomes(
    order: ImportOrder, planner: Planner, tally: "Tally", *, progress: Progress | None = None
) -> Iterator[RowOutcome]:
    """What each row of a table comes to, told to the tally first; memory stays the same however long it is.

    Those that need a tag that no row names come last.
    """
    waiting: list[MappedRow] = []
    every = mapped_rows(order.source, order.mapping, tally.pass_over)
    lines = order.source.lines
    if order.mapping.kind is ImportKind.RESULTS:
        reading, progress = shared(progress, 0, _READ), shared(progress, _READ, 100)
        every = item_by_item(every, partial(_tell, reading, lines))
        every = none_torn_apart(every, order.source.name) if order.mapping.layout is Layout.LONG else every
    for rows in _in_parts(every):
        _tell(progress, lines, tally.seen)
        later = [row for row in rows if planner.waits(row)]
        waiting += later
        yield from tally.noting(planner.planned([row for row in rows if not planner.waits(row)] if later else rows))
    for rows in _in_parts(waiting):
        _tell(progress, lines, tally.seen)
        yield from tally.noting(planner.planned(rows))


def _tell(progress: Progress | None, lines: int, seen: int) -> None:
    tell(progress, seen, max(lines, seen + 1), _STOPPED.format(counted(seen, "row")))


class Tally:
    """Counts what rows come to, and remembers those that are shown."""

    def __init__(self, order: ImportOrder, planner: Planner) -> None:
        """Count for an order what its planner makes of the rows."""
        self._order = order
        self._planner = planner
        self._counts: dict[RowState, int] = dict.fromkeys(RowState, 0)
        self._shown: list[PlannedRow] = []
        self._troubled: list[PlannedRow] = []
        self._remarks = 0
        self._passed_over: list[int] = []

    @property
    def seen(self) -> int:
        """Rows so far."""
        return sum(self._counts.values())

    def noting(self, rows: Iterable[RowOutcome]) -> Iterator[RowOutcome]:
        """The same rows, each counted."""
        counts = self._counts
        for row in rows:
            counts[row.state] += 1
            if row.problems and row.state.is_taken:
                self._remarks += 1
            if len(self._shown) < MOST_SHOWN:
                self._shown.append(told_row(self._order.mapping, row, self._planner.words))
            elif row.problems and len(self._troubled) < MOST_SHOWN:
                self._troubled.append(told_row(self._order.mapping, row, self._planner.words))
            yield row

    def pass_over(self, row: SourceRow) -> None:
        """Remember the first lines that are taken for no rows."""
        if len(self._passed_over) < _PASSED_OVER:
            self._passed_over.append(row.line)

    def plan(self) -> ImportPlan:
        """What all rows came to."""
        return ImportPlan(
            order=self._order,
            kind=self._order.mapping.kind,
            counts=dict(self._counts),
            rows=tuple(sorted([*self._shown, *self._troubled], key=lambda row: row.line)),
            made=self._planner.made,
            remarks=self._remarks,
            passed_over=tuple(self._passed_over),
        )


def _in_parts(rows: Iterable[MappedRow]) -> Iterator[list[MappedRow]]:
    part: list[MappedRow] = []
    for row in rows:
        part.append(row)
        if len(part) == _AT_ONCE:
            yield part
            part = []
    if part:
        yield part
