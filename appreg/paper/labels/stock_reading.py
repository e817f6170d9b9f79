"""Read stocks from TOML: those that come with the program, and a person's own, each fault in one sentence."""

from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from re import compile as pattern
from types import MappingProxyType
from typing import Any, Final

from msgspec import NODEFAULT, Struct
from msgspec.structs import fields

from appreg.core.values.text import clean
from appreg.core.values.toml_places import TomlText, shortened
from appreg.errors import InputRefused
from appreg.paper.labels.label_stock import Feed, Shape, Stock, problems_of

USUAL_STOCK: Final = "a4-24"
_NAME: Final = pattern(r"[a-z0-9][a-z0-9-]{0,39}")
_LONGEST_TITLE: Final = 80
_LARGEST: Final = 10**6
"""A whole number beyond it is no measure."""
_OF_SHEETS: Final = ("sheet_width", "sheet_height", "columns", "rows", "left", "top", "pitch_x", "pitch_y")
"""What follows from the label where one label is one page."""


class ReadStocks(Struct, frozen=True, kw_only=True):
    """The stocks of a file that can be printed, by id, and a sentence on each thing that keeps another from it."""

    stocks: Mapping[str, Stock]
    faults: tuple[str, ...]


@cache
def load_stocks() -> Mapping[str, Stock]:
    """Return the stocks that come with the program, by id."""
    text = files("appreg.paper").joinpath("stocks.toml").read_text(encoding="utf-8")
    read = read_stocks(TomlText(name="stocks.toml", text=text))
    if read.faults:
        raise InputRefused(read.faults[0])
    return read.stocks


def read_stocks(toml: TomlText) -> ReadStocks:
    """Read stocks; what is wrong with one keeps none of the others away."""
    try:
        tables = toml.data
    except InputRefused as refusal:
        return ReadStocks(stocks={}, faults=(str(refusal),))
    stocks, faults = {}, []
    for key, table in tables.items():
        try:
            stocks[key] = _stock(toml, key, table)
        except InputRefused as refusal:
            faults.append(str(refusal))
    return ReadStocks(stocks=MappingProxyType(stocks), faults=tuple(faults))


def _stock(toml: TomlText, key: str, table: object) -> Stock:
    if not isinstance(table, dict):
        raise toml.refused([key], "this is no stock; begin one with its name in a line such as [shop-roll].")
    if not _NAME.fullmatch(key):
        raise toml.refused([key], "a stock is named by small letters, figures and hyphens, 40 at most; name it so.")
    values = {name: _value(toml, key, name, value) for name, value in table.items()}
    if values.get("feed") is Feed.ROLL:
        values = _on_a_roll(toml, key, values)
    lacks = [field.name for field in fields(Stock) if field.default is NODEFAULT and field.name not in {"id", *values}]
    if lacks:
        raise toml.refused([key], f"it lacks {', '.join(lacks)}; add {'it' if len(lacks) == 1 else 'them'}.")
    stock = Stock(id=key, **values)
    if problems := problems_of(stock):
        raise toml.refused([key], f"it cannot be printed: {'; '.join(problems)}.")
    return stock


def _on_a_roll(toml: TomlText, key: str, values: Mapping[str, Any]) -> dict[str, Any]:
    """One label is one page; its measures are all that is asked for."""
    if stray := [name for name in _OF_SHEETS if name in values]:
        raise toml.refused([key, stray[0]], "a roll has one label a page and no such measure; leave it out.")
    width, height = values.get("label_width", 0.0), values.get("label_height", 0.0)
    page = {"sheet_width": width, "sheet_height": height, "pitch_x": width, "pitch_y": height}
    return {**values, **page, "columns": 1, "rows": 1, "left": 0.0, "top": 0.0}


def _value(toml: TomlText, key: str, name: str, value: object) -> Any:
    kind = {field.name: field.type for field in fields(Stock) if field.name != "id"}.get(name)
    if kind is None:
        raise toml.refused([key, name], f"a stock has no {shortened(name)}; leave it out, or mend its name.")
    if kind in (Feed, Shape):
        if not isinstance(value, str) or value not in set(kind):
            raise toml.refused([key, name], f"{_said(value)} is not among {', '.join(kind)}; write one of them.")
        return kind(value)
    if kind is str:
        if not isinstance(value, str) or not value.strip():
            raise toml.refused([key, name], "it is no text; write some between quotation marks.")
        return _title(toml, key, name, value)
    whole = isinstance(value, int) and not isinstance(value, bool) and abs(value) <= _LARGEST
    if not (whole or (kind is float and isinstance(value, float))):
        raise toml.refused([key, name], f"{_said(value)} is no {'whole ' if kind is int else ''}number; write one.")
    return kind(value)


def _title(toml: TomlText, key: str, name: str, value: str) -> str:
    try:
        return clean(value, field=name, longest=_LONGEST_TITLE)
    except InputRefused as refusal:
        raise toml.refused([key, name], refusal.problem) from refusal


def _said(value: object) -> str:
    return f"“{shortened(str(value))}”"
