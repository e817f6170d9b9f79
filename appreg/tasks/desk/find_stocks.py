"""Find the label stocks at hand: those that come with the program, and a person's own in the folder of the settings."""

from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Final

from msgspec import Struct

from appreg.core.values.text import shown
from appreg.core.values.toml_places import TomlText, shortened
from appreg.errors import InputRefused
from appreg.given_files import read_text
from appreg.paper.labels.label_stock import Stock
from appreg.paper.labels.stock_reading import load_stocks, read_stocks
from appreg.tasks.desk.keep_settings import settings_path

FILE_NAME: Final = "stocks.toml"
_MOST_BYTES: Final = 200_000


class StocksAtHand(Struct, frozen=True, kw_only=True):
    """Every stock that can be printed on, by id, those of the program first."""

    stocks: Mapping[str, Stock]
    own: Path
    """Where a person's own stand, be the file there or not."""
    faults: tuple[str, ...] = ()
    """A sentence on each thing that keeps a stock of that file from being printed on."""

    def named(self, stock_id: str) -> Stock:
        """Return one stock; raises InputRefused naming the stocks there are, and what is wrong with a person's own."""
        if stock_id in self.stocks:
            return self.stocks[stock_id]
        there = f"There is no label stock {shown(shortened(stock_id))!r}; choose one of {', '.join(self.stocks)}."
        raise InputRefused(" ".join([there, *self.faults]))


def stocks_at_hand(environ: Mapping[str, str]) -> StocksAtHand:
    """Read the stocks; what is wrong with a person's own is told, never raised."""
    coming, own = load_stocks(), settings_path(environ).with_name(FILE_NAME)
    try:
        own.stat()
        text = read_text(own, what="label stocks", most_bytes=_MOST_BYTES)
    except (FileNotFoundError, NotADirectoryError):
        return StocksAtHand(stocks=coming, own=own)
    except InputRefused as refusal:
        return StocksAtHand(stocks=coming, own=own, faults=(str(refusal),))
    except (OSError, ValueError) as problem:
        return StocksAtHand(stocks=coming, own=own, faults=(f"{own} cannot be read: {problem}; look at it.",))
    toml = TomlText(name=FILE_NAME, text=text)
    read = read_stocks(toml)
    taken = [
        str(toml.refused([key], "a stock of the program has this name; choose another."))
        for key in read.stocks
        if key in coming
    ]
    new = {key: stock for key, stock in read.stocks.items() if key not in coming}
    return StocksAtHand(stocks=MappingProxyType({**coming, **new}), own=own, faults=(*read.faults, *taken))
