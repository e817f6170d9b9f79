"""Between records and rows: how each field is kept, read once from the record's own type hints."""

import json
import types
from collections.abc import Callable, Sequence
from datetime import date
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from functools import cache, lru_cache, partial
from json.encoder import encode_basestring as quoted
from operator import attrgetter
from typing import Any, Final, Generic, TypeVar, Union, get_args, get_origin, get_type_hints

from appreg.errors import PUT_BACK, InputRefused, RegisterUnusable

R = TypeVar("R")

Cell = str | int | None
"""What a column holds: text, a whole number, or nothing."""

canonical: Final = json.JSONEncoder(ensure_ascii=False, separators=(",", ":"), sort_keys=True).encode
"""A value as JSON in the one form that is hashed: sorted keys, no spaces, UTF-8 kept."""

_SPAN: Final = 30
"""Powers of ten between which a decimal may lie; wider is a slip of the keyboard, never a reading."""
_WHOLE: Final = 1 << 63


class Codec(Generic[R]):
    """The columns of one kind of record, with the way each is written and read."""

    def __init__(self, kind: type[R]) -> None:
        hints = get_type_hints(kind)
        self.kind = kind
        self.names: Final = tuple(hints)
        """Column names, which are the field names, in their order."""
        pairs = [_column(hint) for hint in hints.values()]
        self.encoders: Final = tuple(encode for encode, _ in pairs)
        self.decoders: Final = tuple(decode for _, decode in pairs)
        """None: the cell is the value."""
        self._texts = tuple(place for place, encode in enumerate(self.encoders) if encode is _text)
        self._encoding = tuple((place, encode) for place, encode in enumerate(self.encoders) if encode is not _text)
        self._decoding = tuple((place, decode) for place, decode in enumerate(self.decoders) if decode is not None)
        self._canonical_order = tuple((quoted(name) + ":", self.names.index(name)) for name in sorted(self.names[1:]))
        self._values_of = attrgetter(*self.names)

    def encode(self, record: R) -> tuple[Cell, ...]:
        """The record as cells; raises InputRefused naming the field that cannot be kept."""
        values: tuple[Any, ...] = self._values_of(record)
        cells = list(values)
        try:
            for place, encode in self._encoding:
                cells[place] = encode(cells[place])
            self._check_texts(values)
        except ValueError:
            raise self._refusal(values) from None
        return tuple(cells)

    def canonical(self, cells: Sequence[Cell]) -> str:
        """The cells without the key as canonical JSON."""
        pairs = [
            name + ("null" if (cell := cells[place]) is None else quoted(cell) if isinstance(cell, str) else str(cell))
            for name, place in self._canonical_order
        ]
        return "{" + ",".join(pairs) + "}"

    def _check_texts(self, values: Sequence[Any]) -> None:
        texts = [values[place] for place in self._texts]
        if set(map(type, texts)) != {str} or not "".join(texts).isascii():
            for text in texts:
                _text(text)

    def encode_value(self, name: str, value: object) -> Cell:
        """One field's value as a cell."""
        try:
            return self.encoders[self.names.index(name)](value)
        except ValueError as error:
            raise InputRefused(f"{self.kind.__name__}: {name} {error}; correct it and save again.") from None

    def decode_value(self, name: str, cell: Cell) -> Any:
        """One field's value from its cell."""
        decode = self.decoders[self.names.index(name)]
        return cell if decode is None or cell is None else decode(cell)

    def decode(self, row: Sequence[Any]) -> R:
        """The record in a row; raises RegisterUnusable naming the column that no version of the program writes."""
        try:
            return self._build(row)
        except (ValueError, KeyError, TypeError, AttributeError, InvalidOperation):
            raise self._unreadable(row) from None

    def decode_all(self, rows: Sequence[Sequence[Any]]) -> list[R]:
        """The records in many rows."""
        return [self.decode(row) for row in rows]

    def _build(self, row: Sequence[Any]) -> R:
        cells = list(row)
        for place, decode in self._decoding:
            if cells[place] is not None:
                cells[place] = decode(cells[place])
        return self.kind(**dict(zip(self.names, cells, strict=True)))

    def _refusal(self, values: Sequence[Any]) -> InputRefused:
        for name, value in zip(self.names, values, strict=True):
            try:
                self.encode_value(name, value)
            except InputRefused as refusal:
                return refusal
        raise AssertionError(self.kind)

    def _unreadable(self, row: Sequence[Any]) -> RegisterUnusable:
        for name, decode, cell in zip(self.names, self.decoders, row, strict=True):
            try:
                _ = cell if decode is None or cell is None else decode(cell)
            except (ValueError, KeyError, TypeError, AttributeError, InvalidOperation):
                return RegisterUnusable(
                    f"{self.kind.__name__} {row[0]}: {name} holds {cell!r}, which appreg never writes; "
                    f"run `appreg verify`; {PUT_BACK}."
                )
        return RegisterUnusable(f"{self.kind.__name__} {row[0]} cannot be read; run `appreg verify`.")


def codec_of(kind: type[R]) -> Codec[R]:
    """The codec of a kind of record, derived from its type hints and kept."""
    wanted: Any = kind
    codec: Codec[R] = _derived(wanted)
    return codec


@cache
def _derived(kind: Any) -> Codec[Any]:
    return Codec(kind)


def _column(hint: Any) -> tuple[Callable[[Any], Cell], Callable[[Any], Any] | None]:
    if get_origin(hint) in {types.UnionType, Union}:
        (inner,) = [argument for argument in get_args(hint) if argument is not types.NoneType]
        encode, decode = _column(inner)
        return partial(_optional, encode), decode
    hint = getattr(hint, "__supertype__", hint)
    if get_origin(hint) is tuple:
        return _words, _words_of
    if issubclass(hint, StrEnum):
        return partial(_member, hint), {member.value: member for member in hint}.__getitem__
    return _PLAIN[hint]


def _optional(encode: Callable[[Any], Cell], value: Any) -> Cell:
    return None if value is None else encode(value)


def _text(value: Any) -> str:
    if not isinstance(value, str):
        raise TypeError(f"{value!r} is not text")
    if not value.isascii():
        try:
            value.encode()
        except UnicodeEncodeError:
            raise ValueError("holds half a character") from None
    if type(value) is not str:
        raise TypeError(f"{value!r} is more than plain text")
    return value


def _whole(value: Any) -> int:
    if type(value) is not int:
        raise TypeError(f"{value!r} is not a whole number")
    if not -_WHOLE <= value < _WHOLE:
        raise ValueError("is too large a number")
    return value


def _flag(value: Any) -> int:
    if type(value) is not bool:
        raise TypeError(f"{value!r} is neither true nor false")
    return int(value)


def _decimal(value: Any) -> str:
    if not isinstance(value, Decimal):
        raise TypeError(f"{value!r} is not an exact decimal")
    if not value.is_finite():
        raise ValueError("is not a number")
    exponent = value.as_tuple().exponent
    if value.adjusted() > _SPAN or (isinstance(exponent, int) and abs(exponent) > _SPAN):
        raise ValueError("is a number out of all proportion")
    return format(value, "f")


def _day(value: Any) -> str:
    if type(value) is not date:
        raise TypeError(f"{value!r} is not a date")
    return value.isoformat()


def _member(kind: type[StrEnum], value: Any) -> str:
    if type(value) is not kind:
        raise TypeError(f"{value!r} is not a {kind.__name__}")
    return str(value.value)


def _words(value: Any) -> str:
    if type(value) is not tuple:
        raise TypeError(f"{value!r} is not a tuple of texts")
    return canonical([_text(word) for word in value]) if value else "[]"


@lru_cache(maxsize=4096)
def _words_of(cell: str) -> tuple[str, ...]:
    words = json.loads(cell)
    if not isinstance(words, list) or not all(isinstance(word, str) for word in words):
        raise ValueError(cell)
    return tuple(words)


_FLAGS: Final = {0: False, 1: True}
_PLAIN: Final[dict[Any, tuple[Callable[[Any], Cell], Callable[[Any], Any] | None]]] = {
    str: (_text, None),
    int: (_whole, None),
    bool: (_flag, _FLAGS.__getitem__),
    Decimal: (_decimal, lru_cache(maxsize=4096)(Decimal)),
    date: (_day, lru_cache(maxsize=8192)(date.fromisoformat)),
}
