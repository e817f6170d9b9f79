"""Tables drawn down the pages of a document: a line a row where it fits, heads on each page, numbers by their decimal point."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from functools import cache, lru_cache, partial
from typing import Final

from msgspec import Struct

from appreg.core.values.dates_in_words import DateForm, date_words
from appreg.core.values.told_tables import (
    Cell,
    CellKind,
    Row,
    TableColumn,
    TableGroup,
    ToldTable,
    sums_of,
    sums_of_all,
)
from appreg.paper.page.page_canvas import Ink, PageCanvas, printable, tell_drawn
from appreg.paper.page.page_flow import RULE_GREY, PageFlow
from appreg.paper.page.part_roles import Role
from appreg.paper.page.text_blocks import ASCENT, LEADING, WHOLE, Block, Line, Mark, below, gap, stacked
from appreg.paper.page.text_fitting import wrapped
from appreg.paper.page.type_sizes import MM_A_POINT
from appreg.progress import Progress

_GUTTER: Final = 2.5
"""Between columns, mm."""
_TOTAL: Final = "total"
_TOLD_EVERY: Final = 100
"""Rows drawn between one telling of progress and the next."""
_MOST_A_PAGE: Final = 70
"""More rows than any page holds."""
_REMEMBERED: Final = 4000
"""Texts of which it is remembered how they are set: rooms, classes and dates come again and again."""


class Density(Struct, frozen=True):
    """How close the rows of a table stand."""

    points: float
    """Size of the type."""
    after: float
    """Below the text of a row, mm."""
    least: float = 0.0
    """Height of a row, mm."""


LINES: Final = Density(7.5, 0.9)
"""Many rows, to be looked up."""
READING: Final = Density(8.5, 1.5)
"""To be read row by row."""
WRITING: Final = Density(9.0, 1.5, 9.0)
"""To be written into by hand."""


class _Place(Struct, frozen=True, kw_only=True):
    """A column as it is set."""

    column: TableColumn
    x: float
    """From the left margin, mm."""
    room: float
    fraction: float = 0.0
    """Of a number: what stands right of its decimal point at most, mm."""


def put_table(
    flow: PageFlow, table: ToldTable, density: Density, *, dates: DateForm, progress: Progress | None = None
) -> None:
    """Draw every row under the columns' heads, which stand on each page; raises Stopped."""
    if not table.count:
        flow.put(
            stacked([Line(f"{table.none[:1].upper()}{table.none[1:]}.", Ink(density.points))], flow.room, flow.canvas)
        )
        return
    flow.canvas.expect(flow.canvas.pages + table.count // _MOST_A_PAGE)
    _Drawing(flow, table, density, dates).put(progress)


class _Drawing:
    """One table while it is drawn."""

    def __init__(self, flow: PageFlow, table: ToldTable, density: Density, dates: DateForm) -> None:
        self._flow = flow
        self._table = table
        self._density = density
        self._dates = dates
        self._ink, self._bold = Ink(density.points), Ink(density.points, bold=True)
        self._leading = LEADING * density.points * MM_A_POINT
        self._places = _places(table, flow, self._ink)
        self._heads = _heads(self._places, flow.canvas, density.points)
        self._set = lru_cache(_REMEMBERED)(self._lines_of)
        self._rules: list[float] = []
        """Where lines go on this page, drawn together once it is full."""
        self._sums = any(column.summed for column in table.columns)

    def put(self, progress: Progress | None) -> None:
        """Draw all of it."""
        done, count = 0, self._table.count
        self._flow.put_head(self._heads)
        for group in self._table.groups:
            self._put_group_head(group)
            for row in group.rows:
                if done % _TOLD_EVERY == 0:
                    tell_drawn(progress, done, count)
                self._put_row(row)
                done += 1
            if self._sums and self._table.grouped_by is not None and len(self._table.groups) > 1:
                self._put_sums(sums_of(self._table.columns, group.rows))
        self._flow.head = self._heads
        if self._sums:
            self._put_sums(sums_of_all(self._table))
        self._draw_rules()
        self._flow.head = None
        self._flow.y += 1.0
        tell_drawn(progress, count, count)

    def _put_group_head(self, group: TableGroup) -> None:
        if self._table.grouped_by is None:
            return
        self._flow.head = self._heads
        self._draw_rules()
        words = group.head or "–"
        head = stacked([Line(words, self._bold)], self._flow.room, self._flow.canvas)
        self._flow.put(below([gap(1.2), head]), after=0.6, keep_with=2 * self._leading + self._density.least)
        again = stacked([Line(f"{words}, continued", self._bold)], self._flow.room, self._flow.canvas)
        self._flow.head = below([self._heads, gap(0.8), again])

    def _put_sums(self, sums: Sequence[Cell]) -> None:
        cells = list(sums)
        if not self._places[0].column.summed:
            cells[0] = _TOTAL
        self._put_row(cells, bold=True)

    def _put_row(self, row: Row, *, bold: bool = False) -> None:
        set_cells = [self._set(place, cell, bold) for place, cell in enumerate(row)]
        height = max(self._density.least, max(len(lines) for lines, _ in set_cells) * self._leading)
        flow = self._flow
        if not flow.has_room(height + self._density.after):
            self._draw_rules()
            flow.turn_for(height)
        if not flow.has_room(height):
            self._draw_rules()
            self._put_long_row(set_cells, height)
        else:
            with flow.canvas.part(Role.ROW):
                self._write(set_cells, flow.y)
            flow.y += height
        flow.y += self._density.after - _RULE
        self._rules.append(flow.y)
        flow.y += _RULE

    def _draw_rules(self) -> None:
        flow = self._flow
        flow.canvas.rules(flow.left, flow.left + flow.room, self._rules, thickness=0.12, grey=RULE_GREY)
        self._rules.clear()

    def _write(self, set_cells: Sequence["_SetCell"], y: float) -> None:
        size = self._density.points * MM_A_POINT
        for place, (lines, ink) in enumerate(set_cells):
            baseline = y + ASCENT * size
            with self._flow.canvas.piece(Role.CELL):
                for text, x in lines:
                    self._flow.canvas.write(self._flow.left + self._places[place].x + x, baseline, text, ink)
                    baseline += self._leading

    def _put_long_row(self, set_cells: Sequence["_SetCell"], height: float) -> None:
        """A row that no page holds is cut between two lines."""
        first = ASCENT * self._density.points * MM_A_POINT
        marks = tuple(
            Mark(x=self._places[place].x + x, y=first + self._leading * number, text=text, ink=ink, cell=place)
            for place, (lines, ink) in enumerate(set_cells)
            for number, (text, x) in enumerate(lines)
        )
        self._flow.put(Block(height, marks), roles=(Role.CELL,))

    def _lines_of(self, place: int, cell: Cell, bold: bool) -> "_SetCell":
        at = self._places[place]
        text = _words(cell, self._dates)
        loud = bold or at.column.kind is CellKind.TAG or text in at.column.loud
        ink = self._bold if loud else self._ink
        measure = partial(self._flow.canvas.measure, ink=ink)
        width = measure(text)
        if at.column.kind is CellKind.NUMBER and not isinstance(cell, str):
            return [(text, at.room - at.fraction - measure(text.partition(".")[0]))], ink
        if width <= at.room:
            return [(text, 0.0)], ink
        return [(line, 0.0) for line in wrapped(printable(text), at.room, measure, lines=WHOLE)], ink


_SetCell = tuple[list[tuple[str, float]], Ink]
"""The lines of a cell, each with its distance from the column's left edge, and how they are set."""
_RULE: Final = 0.5
"""Below the thin line under a row, mm."""


def _words(cell: Cell, dates: DateForm) -> str:
    if isinstance(cell, date):
        return date_words(cell, dates)
    if isinstance(cell, Decimal):
        return format(cell, "f")
    return "" if cell is None else str(cell)


def _places(table: ToldTable, flow: PageFlow, ink: Ink) -> list[_Place]:
    weight = sum(column.weight for column in table.columns)
    places, x = [], 0.0
    for number, column in enumerate(table.columns):
        width = flow.room * column.weight / weight
        fraction = _fraction(table, number, partial(flow.canvas.measure, ink=ink)) if _is_number(column) else 0.0
        places.append(_Place(column=column, x=x, room=width - _GUTTER, fraction=fraction))
        x += width
    return places


def _fraction(table: ToldTable, number: int, measure: "partial[float]") -> float:
    cells = (row[number] for group in table.groups for row in group.rows)
    longest = max((len(format(cell, "f").partition(".")[2]) for cell in cells if isinstance(cell, Decimal)), default=0)
    return measure("." + "0" * longest) if longest else 0.0


def _is_number(column: TableColumn) -> bool:
    return column.kind is CellKind.NUMBER


def _heads(places: Sequence[_Place], canvas: PageCanvas, points: float) -> Block:
    ink = Ink(max(7.0, points - 0.5), bold=True)
    measure = cache(partial(canvas.measure, ink=ink))
    leading, ascent = LEADING * ink.points * MM_A_POINT, ASCENT * ink.points * MM_A_POINT
    marks, height = [], 0.0
    for cell, place in enumerate(places):
        words = f"{place.column.head}, {place.column.unit}" if place.column.unit else place.column.head
        lines = wrapped(words, place.room, measure, lines=WHOLE) if words else []
        for number, text in enumerate(lines):
            x = place.room - measure(text) if _is_number(place.column) else 0.0
            marks.append(Mark(x=place.x + x, y=ascent + leading * number, text=text, ink=ink, cell=cell))
        height = max(height, leading * len(lines))
    return Block(height, tuple(marks))
