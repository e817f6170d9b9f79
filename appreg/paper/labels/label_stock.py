"""Sheets of labels as data: where the labels lie on the sheet and what fits on one."""

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Final

from msgspec import Struct
from msgspec.structs import fields

from appreg.errors import InputRefused
from appreg.paper.codes.qr_codes import SMALL, STURDY, CodeForm, with_quiet_zone
from appreg.paper.page.type_sizes import MM_A_POINT

SHORTEST_MODULE_MM: Final = 4 * 25.4 / 203
"""Four dots of a print head of 203 to the inch; below this a code is not read reliably (common practice)."""
LEADING: Final = 1.22
"""From baseline to baseline of the small lines, of their type size."""
_ROUNDING: Final = 1e-6


class Stock(Struct, frozen=True, kw_only=True):
    """One kind of label sheet; all lengths in mm, type sizes in points."""

    id: str
    title: str
    sheet_width: float
    sheet_height: float
    columns: int
    rows: int
    label_width: float
    label_height: float
    left: float
    """From the sheet's left edge to the first label."""
    top: float
    """From the sheet's top edge to the first label."""
    pitch_x: float
    """From one label's left edge to the next one's."""
    pitch_y: float
    margin: float
    """Kept free inside a label's edge, for printers that drift."""
    band: float
    """Height of the verdict's band."""
    code: float
    """Side of the box for a code with its quiet zone; where it is too small for one the tag stands alone, large."""
    tag_points: float
    text_points: float
    lines: int
    """Lines of small text that fit below the tag."""
    basis: str
    """Where the geometry comes from."""

    @property
    def places(self) -> int:
        """Labels on one sheet."""
        return self.columns * self.rows

    @property
    def code_form(self) -> CodeForm | None:
        """The sturdiest code whose modules are wide enough in the box; None: the tag alone."""
        for form in (STURDY, SMALL):
            if self.code / with_quiet_zone(form.modules) >= SHORTEST_MODULE_MM:
                return form
        return None

    @property
    def code_side(self) -> float:
        """Side of the code that is drawn, mm; 0 where the tag stands alone."""
        return self.code if self.code_form is not None else 0.0

    @property
    def module(self) -> float:
        """Side of one module of the code, mm; 0 where there is none."""
        return self.code / with_quiet_zone(self.code_form.modules) if self.code_form is not None else 0.0

    @property
    def text_room(self) -> float:
        """Width beside the code, mm; all between the margins where there is none."""
        return self.label_width - self.margin - (self.code_side or self.margin)


@cache
def load_stocks() -> Mapping[str, Stock]:
    """Return the stocks that come with the program, by id."""
    return read_stocks(files("appreg.paper").joinpath("stocks.toml").read_text(encoding="utf-8"), "stocks.toml")


def read_stocks(text: str, name: str) -> Mapping[str, Stock]:
    """Read stocks from TOML; raises InputRefused naming file, stock and what is wrong with it."""
    try:
        tables = tomllib.loads(text)
    except tomllib.TOMLDecodeError as problem:
        raise InputRefused(f"{name} is not TOML: {problem}; mend that place.") from problem
    stocks = {key: _stock(key, table, name) for key, table in tables.items()}
    for key, stock in stocks.items():
        problems = problems_of(stock)
        if problems:
            raise InputRefused(f"{name}: stock {key} cannot be printed: {'; '.join(problems)}.")
    return MappingProxyType(stocks)


def _stock(key: str, table: object, name: str) -> Stock:
    wanted = {field.name: field.type for field in fields(Stock) if field.name != "id"}
    given = table if isinstance(table, dict) else {}
    for label, keys in (("lacks", wanted.keys() - given.keys()), ("has unknown", given.keys() - wanted.keys())):
        if keys:
            raise InputRefused(f"{name}: stock {key} {label} {', '.join(sorted(keys))}; mend it.")
    for field, kind in wanted.items():
        allowed = {float: (int, float), int: (int,), str: (str,)}[kind if isinstance(kind, type) else str]
        if isinstance(given[field], bool) or not isinstance(given[field], allowed):
            raise InputRefused(f"{name}: stock {key}: {field} = {given[field]!r} is not of the right kind; mend it.")
    return Stock(id=key, **given)


def problems_of(stock: Stock) -> list[str]:
    """Say what keeps a stock from being printed: labels off the sheet or overlapping, a code too fine, text too tall."""
    checks = (
        (stock.columns >= 1 and stock.rows >= 1, "it has no labels"),
        (stock.left >= 0 and stock.top >= 0 and stock.margin >= 0, "a length is negative"),
        (
            _end(stock.left, stock.pitch_x, stock.columns, stock.label_width) <= stock.sheet_width + _ROUNDING,
            "too wide",
        ),
        (_end(stock.top, stock.pitch_y, stock.rows, stock.label_height) <= stock.sheet_height + _ROUNDING, "too tall"),
        (stock.columns == 1 or stock.pitch_x >= stock.label_width, "labels overlap sideways"),
        (stock.rows == 1 or stock.pitch_y >= stock.label_height, "labels overlap downwards"),
        (
            stock.margin + stock.band + stock.code_side <= stock.label_height,
            "band and code do not fit above each other",
        ),
        (stock.text_room > 0, "the code leaves no room for text"),
        (_text_height(stock) <= stock.label_height, "the text does not fit"),
    )
    return [words for holds, words in checks if not holds]


def _end(first: float, pitch: float, count: int, size: float) -> float:
    return first + (count - 1) * pitch + size


def _text_height(stock: Stock) -> float:
    points = stock.tag_points + stock.lines * stock.text_points * LEADING
    return 2 * stock.margin + stock.band + points * MM_A_POINT


def stock_by_id(stock_id: str) -> Stock:
    """Return one stock; raises InputRefused naming the stocks there are."""
    stocks = load_stocks()
    if stock_id not in stocks:
        raise InputRefused(f"There is no label stock {stock_id!r}; choose one of {', '.join(stocks)}.")
    return stocks[stock_id]
