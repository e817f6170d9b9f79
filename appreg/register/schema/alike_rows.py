"""Many records of one kind as cells: what one has in common with the one before, as records made together have, is not encoded again."""

from collections.abc import Sequence
from itertools import compress, repeat
from json.encoder import encode_basestring as quoted
from operator import is_not
from typing import Any, Final, Generic, TypeVar

from appreg.register.schema.record_codec import Cell, Codec, text_cell

R = TypeVar("R")

_REMEMBERED: Final = 500
"""Values of a column."""


class AlikeRows(Generic[R]):
    """Encodes records one after the other, as the codec does each."""

    def __init__(self, codec: Codec[R]) -> None:
        self._codec = codec
        self._places = range(1, len(codec.names))
        order = sorted(codec.names[1:])
        self._heads = [quoted(name) + ":" for name in codec.names]
        self._seats = [order.index(name) if place else 0 for place, name in enumerate(codec.names)]
        self._parts = [""] * len(order)
        """Of the canonical JSON, without the key."""
        self._known: list[dict[int, tuple[Any, Cell, str]] | None] = [
            None if encode is text_cell else {} for encode in codec.encoders
        ]
        """Of columns that are no plain text: by the identity of a value, which is kept alive, what it comes to."""
        self._cells: list[Cell] = [None] * len(codec.names)
        # Kept alive, so that a value that is the same object is the same value.
        self._values: Sequence[Any] = ()

    def encode(self, record: R) -> tuple[Cell, ...]:
        """The record as cells; raises InputRefused naming the field that cannot be kept."""
        values: Sequence[Any] = self._codec.values_of(record)
        differs = map(is_not, values, self._values) if self._values else repeat(True, len(values))
        # Where one is refused the cells are those of two records.
        self._values = ()
        cells, parts, seats, heads, every = self._cells, self._parts, self._seats, self._heads, self._known
        try:
            next(differs)
            cells[0] = text_cell(values[0])  # the key stands first, and is not in the JSON
            for place in compress(self._places, differs):
                value, known = values[place], every[place]
                if known is None:
                    cells[place] = value if type(value) is str and value.isascii() else text_cell(value)
                    parts[seats[place]] = heads[place] + quoted(value)
                else:
                    _, cells[place], parts[seats[place]] = known.get(id(value)) or self._encoded(place, value, known)
        except ValueError:
            raise self._codec.refusal(values) from None
        self._values = values
        return tuple(cells)

    def _encoded(self, place: int, value: object, known: dict[int, tuple[Any, Cell, str]]) -> tuple[Any, Cell, str]:
        cell = self._codec.encoders[place](value)
        said = "null" if cell is None else quoted(cell) if isinstance(cell, str) else str(cell)
        if len(known) >= _REMEMBERED:
            known.clear()
        done = known[id(value)] = value, cell, self._heads[place] + said
        return done

    def canonical(self) -> str:
        """The cells of the last record without its key as canonical JSON."""
        return "{" + ",".join(self._parts) + "}"
