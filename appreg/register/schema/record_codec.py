"""Between records and rows: how each field is kept, read once from the record's own hints; and what could not be read."""

import json
import types
from collections.abc import Callable, Container, Sequence
from datetime import date
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from functools import cache, lru_cache, partial
from json.encoder import encode_basestring as quoted
from typing import Any, Final, Generic, TypeVar, Union, get_args, get_origin

from msgspec.structs import astuple

from appreg.core.values.text import shown
from appreg.errors import PUT_BACK, InputRefused, RegisterUnusable

R = TypeVar("R")

Cell = str | int | None
"""What a column holds: text, a whole number, or nothing."""

canonical: Final = json.JSONEncoder(ensure_ascii=False, separators=(",", ":"), sort_keys=True).encode
"""A value as JSON in the one form that is hashed: sorted keys, no spaces, UTF-8 kept."""

_SPAN: Final = 30
"""Powers of ten between which a decimal may lie; wider is a slip of the keyboard, never a reading."""
_WHOLE: Final = 1 << 63
_MOST_TEXT: Final = 1_000_000
"""Letters of all texts of a record together; no version of the program writes nearly as many."""
_QUOTED: Final = 40
"""Letters of a damaged cell that a sentence quotes."""
_BROKEN: Final = (ValueError, KeyError, TypeError, AttributeError, InvalidOperation, RecursionError)


class RecordDamaged(RegisterUnusable):
    """One record cannot be read; what does not need it can go on."""

    def __init__(self, sentence: str, *, kind: str, uid: str, named: str) -> None:
        super().__init__(sentence)
        self.kind = kind
        """What it is, in words."""
        self.uid = uid
        self.named = named
        """Its tag or name where that can be read, otherwise its key."""


Damaged = Callable[[RecordDamaged], None]
"""Is told of each record that cannot be read."""


class Codec(Generic[R]):
    """The columns of one kind of record, with the way each is written and read."""

    def __init__(self, kind: type[R]) -> None:
        # Modules of records do not put their annotations off, so these are the types themselves.
        hints: dict[str, Any] = kind.__annotations__
        self.kind = kind
        self.names: Final = tuple(hints)
        """Column names, which are the field names, in their order."""
        pairs = [_column(hint) for hint in hints.values()]
        self.encoders: Final = tuple(encode for encode, _ in pairs)
        self.decoders: Final = tuple(decode for _, decode in pairs)
        """None: the cell is the value."""
        self._texts = tuple(place for place, encode in enumerate(self.encoders) if encode is text_cell)
        self._encoding = tuple((place, encode) for place, encode in enumerate(self.encoders) if encode is not text_cell)
        self._decoding = tuple((place, decode) for place, decode in enumerate(self.decoders) if decode is not None)
        self._canonical_order = tuple((quoted(name) + ":", self.names.index(name)) for name in sorted(self.names[1:]))
        self.values_of: Final[Callable[[Any], tuple[Any, ...]]] = astuple
        """The values of a record in the order of the columns."""
        self._types = tuple(_types_of(hint) for hint in hints.values())
        self.cells: Final = dict(zip(self.names, self._types, strict=True))
        """The types that each column's cells may have."""
        self._sound: set[tuple[type, ...]] = set()
        """The types of cells, row by row, that were looked at and found right."""

    def encode(self, record: R) -> tuple[Cell, ...]:
        """The record as cells; raises InputRefused naming the field that cannot be kept."""
        values: tuple[Any, ...] = self.values_of(record)
        cells = list(values)
        try:
            for place, encode in self._encoding:
                cells[place] = encode(cells[place])
            self._check_texts(values)
        except ValueError:
            raise self.refusal(values) from None
        return tuple(cells)

    def canonical(self, cells: Sequence[Cell], said: Sequence[tuple[str, int]] | None = None) -> str:
        """The cells without the key as canonical JSON; with `said`, only those that said_of() names."""
        pairs = [
            name + ("null" if (cell := cells[place]) is None else quoted(cell) if isinstance(cell, str) else str(cell))
            for name, place in (self._canonical_order if said is None else said)
        ]
        return "{" + ",".join(pairs) + "}"

    def said_of(self, places: Container[int]) -> tuple[tuple[str, int], ...]:
        """The columns of some places as canonical() takes them: name and place, in the order of the names."""
        return tuple(each for each in self._canonical_order if each[1] in places)

    def _check_texts(self, values: Sequence[Any]) -> None:
        texts = [values[place] for place in self._texts]
        if set(map(type, texts)) != {str} or not "".join(texts).isascii():
            for text in texts:
                text_cell(text)

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
        except _BROKEN:
            raise self._unreadable(row) from None

    def decode_all(self, rows: Sequence[Sequence[Any]], damaged: "Damaged | None" = None) -> list[R]:
        """The records in many rows; one that cannot be read ends it, or is told to `damaged` where that is given."""
        if damaged is None:
            return [self.decode(row) for row in rows]
        records = []
        for row in rows:
            try:
                records.append(self.decode(row))
            except RecordDamaged as damage:
                damaged(damage)
        return records

    def _build(self, row: Sequence[Any]) -> R:
        cells = list(row)
        self._check_types(cells)
        for place, decode in self._decoding:
            if cells[place] is not None:
                cells[place] = decode(cells[place])
        return self.kind(**dict(zip(self.names, cells, strict=True)))

    def _check_types(self, cells: Sequence[Any]) -> None:
        found = tuple(map(type, cells))
        if found not in self._sound:
            if not all(map(tuple.__contains__, self._types, found)):
                raise TypeError(found)
            self._sound.add(found)
        if len("".join([cells[place] for place in self._texts])) > _MOST_TEXT:
            raise ValueError("too long")

    def refusal(self, values: Sequence[Any]) -> InputRefused:
        """Why a record of these values cannot be kept, which names the field."""
        for name, value in zip(self.names, values, strict=True):
            try:
                self.encode_value(name, value)
            except InputRefused as refusal:
                return refusal
        raise AssertionError(self.kind)

    def _unreadable(self, row: Sequence[Any]) -> RecordDamaged:
        cells = dict(zip(self.names, row, strict=False))
        named = next((shown(cells[name])[:_QUOTED] for name in ("tag", "name") if _says(cells.get(name))), str(row[0]))
        what = f"{self.kind.__name__} {named}"
        for name, decode, cell, types_ in zip(self.names, self.decoders, row, self._types, strict=False):
            if not _reads(decode, cell, types_):
                return self._damage(
                    f"{what}: its {name.replace('_', ' ')} holds {_quote(cell)}, which appreg", row, named
                )
        return self._damage(f"{what} cannot be read: its values do not fit together, which appreg", row, named)

    def _damage(self, said: str, row: Sequence[Any], named: str) -> RecordDamaged:
        sentence = f"{said} never writes; run `appreg verify`; {PUT_BACK}."
        return RecordDamaged(sentence, kind=self.kind.__name__, uid=str(row[0]), named=named)


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


def _types_of(hint: Any) -> tuple[type, ...]:
    """The types that the database gives for a column."""
    if get_origin(hint) in {types.UnionType, Union}:
        return tuple({each for inner in get_args(hint) for each in _types_of(inner)})
    hint = getattr(hint, "__supertype__", hint)
    if hint is types.NoneType:
        return (types.NoneType,)
    return (int,) if hint in {int, bool} else (str,)


def _reads(decode: Callable[[Any], Any] | None, cell: Any, expected: tuple[type, ...]) -> bool:
    if type(cell) not in expected or (isinstance(cell, str) and len(cell) > _MOST_TEXT):
        return False
    try:
        _ = cell if decode is None or cell is None else decode(cell)
    except _BROKEN:
        return False
    return True


def _says(cell: object) -> bool:
    return isinstance(cell, str) and bool(cell.strip())


def _quote(cell: object) -> str:
    if cell is None:
        return "nothing"
    if not isinstance(cell, str):
        return f"{type(cell).__name__} {cell!r}"[:_QUOTED]
    return f"“{shown(cell[:_QUOTED])}{'…' if len(cell) > _QUOTED else ''}”"


def _optional(encode: Callable[[Any], Cell], value: Any) -> Cell:
    return None if value is None else encode(value)


def text_cell(value: Any) -> str:
    """A text as a cell; raises ValueError for half a character."""
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
    return canonical([text_cell(word) for word in value]) if value else "[]"


@lru_cache(maxsize=4096)
def _words_of(cell: str) -> tuple[str, ...]:
    words = json.loads(cell)
    if not isinstance(words, list) or not all(isinstance(word, str) for word in words):
        raise ValueError(cell)
    return tuple(words)


@lru_cache(maxsize=4096)
def _decimal_of(cell: str) -> Decimal:
    value = Decimal(cell)
    _decimal(value)
    return value


@lru_cache(maxsize=8192)
def _day_of(cell: str) -> date:
    day = date.fromisoformat(cell)
    if day.isoformat() != cell:  # other ISO forms sort in another order than dates do
        raise ValueError(cell)
    return day


def is_day(cell: object) -> bool:
    """Tell whether a cell holds a date as the program writes it."""
    try:
        return isinstance(cell, str) and bool(_day_of(cell))
    except ValueError:
        return False


_FLAGS: Final = {0: False, 1: True}
_PLAIN: Final[dict[Any, tuple[Callable[[Any], Cell], Callable[[Any], Any] | None]]] = {
    str: (text_cell, None),
    int: (_whole, None),
    bool: (_flag, _FLAGS.__getitem__),
    Decimal: (_decimal, _decimal_of),
    date: (_day, _day_of),
}


class DamageLedger:
    """Shared by the connections of one register; whoever shows or writes lists tells what stands in it."""

    def __init__(self) -> None:
        self._said: dict[str, str] = {}
        self.heard: Callable[[str], object] | None = None
        """Called with each new sentence, in whatever thread reads."""

    def note(self, key: str, sentence: str) -> None:
        """Note what is damaged; what was noted before stays as it was said first."""
        if key not in self._said:
            self._said[key] = sentence
            if self.heard is not None:
                self.heard(sentence)

    def note_record(self, damage: RecordDamaged) -> None:
        """Note a record that cannot be read."""
        self.note(f"{damage.kind} {damage.uid}", str(damage))

    @property
    def sentences(self) -> tuple[str, ...]:
        """What is damaged, in the order in which it was met."""
        return tuple(self._said.values())
