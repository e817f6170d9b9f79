"""Sheets of labels as data: where the labels lie on the sheet and what fits on one."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, fields
from functools import cache
from importlib.resources import files
from types import MappingProxyType

from appreg.errors import InputRefused

SHORTEST_MODULE_MM = 0.35
"""Below this a module of a code is not read reliably."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
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
    """Side of the code with its quiet zone."""
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


@cache
def load_stocks() -> Mapping[str, Stock]:
    """Return the stocks that come with the program, by id."""
    text = files("appreg.paper").joinpath("stocks.toml").read_text(encoding="utf-8")
    known = {field.name for field in fields(Stock)}
    stocks = {key: Stock(id=key, **table) for key, table in tomllib.loads(text).items() if known >= set(table)}
    return MappingProxyType(stocks)


def stock_by_id(stock_id: str) -> Stock:
    """Return one stock; raises InputRefused naming the stocks there are."""
    stocks = load_stocks()
    if stock_id not in stocks:
        raise InputRefused(f"There is no label stock {stock_id!r}; choose one of {', '.join(stocks)}.")
    return stocks[stock_id]
