"""Fields of records as cells of a text file, and back exactly: written and read by the type that each field declares."""

import json
import types
from datetime import date
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from functools import cache
from typing import Any, Final, Union, get_args, get_origin

from msgspec import NODEFAULT, Struct
from msgspec.structs import fields

_FLAGS: Final = {"yes": True, "no": False}


class RecordField(Struct, frozen=True, kw_only=True):
    """A field of a kind of record."""

    name: str
    hint: Any
    """Its type, without None."""
    optional: bool
    """None may stand in it."""
    default: Any
    """NODEFAULT: it is always given."""

    @property
    def is_given(self) -> bool:
        """It has no default."""
        return self.default is NODEFAULT

    def written(self, value: Any) -> str:
        """A value as a cell; empty for None."""
        if value is None:
            return ""
        if isinstance(value, bool):
            return "yes" if value else "no"
        if isinstance(value, date):
            return value.isoformat()
        if isinstance(value, Decimal):
            return format(value, "f")
        return json.dumps(value, ensure_ascii=False) if isinstance(value, tuple) else str(value)

    def read(self, cell: str) -> Any:
        """The value of a cell; raises ValueError with what is wrong with it."""
        if not cell and self.optional:
            return None
        try:
            return _READERS.get(_plain(self.hint), _member_of(self.hint))(cell)
        except (ValueError, KeyError, InvalidOperation, RecursionError, TypeError):
            raise ValueError(f"“{cell[:40]}” {self.form}") from None

    @property
    def form(self) -> str:
        """What is wrong with a cell that cannot be read, after its text."""
        plain = _plain(self.hint)
        if plain in _FORMS:
            return _FORMS[plain]
        return f"is not one of {', '.join(each.value for each in plain)}"


def fields_of(kind: Any) -> tuple[RecordField, ...]:
    """The fields of a kind of record, in their order."""
    return _fields_of(kind)


@cache
def _fields_of(kind: Any) -> tuple[RecordField, ...]:
    hints: dict[str, Any] = kind.__annotations__
    made = []
    for each in fields(kind):
        hint, optional = hints[each.name], False
        if get_origin(hint) in {types.UnionType, Union}:
            (hint,) = [one for one in get_args(hint) if one is not types.NoneType]
            optional = True
        default = each.default_factory() if each.default_factory is not NODEFAULT else each.default
        made.append(RecordField(name=each.name, hint=hint, optional=optional, default=default))
    return tuple(made)


def _plain(hint: Any) -> Any:
    """The type that a cell is read as."""
    hint = getattr(hint, "__supertype__", hint)
    return tuple if get_origin(hint) is tuple else hint


def _member_of(hint: Any) -> Any:
    plain = _plain(hint)
    return plain if isinstance(plain, type) and issubclass(plain, StrEnum) else str


def _whole(cell: str) -> int:
    if not cell.removeprefix("-").isdecimal() or not cell.isascii() or str(int(cell)) != cell:
        raise ValueError
    return int(cell)


def _figure(cell: str) -> Decimal:
    value = Decimal(cell)
    if format(value, "f") != cell or not value.is_finite():
        raise ValueError
    return value


def _day(cell: str) -> date:
    day = date.fromisoformat(cell)
    if day.isoformat() != cell:
        raise ValueError
    return day


def _texts(cell: str) -> tuple[str, ...]:
    told = json.loads(cell)
    if not isinstance(told, list) or not all(isinstance(each, str) for each in told):
        raise ValueError
    return tuple(told)


_READERS: Final[dict[Any, Any]] = {
    str: str,
    bool: _FLAGS.__getitem__,
    int: _whole,
    Decimal: _figure,
    date: _day,
    tuple: _texts,
}
_FORMS: Final[dict[Any, str]] = {
    str: "is no text",
    bool: "is neither yes nor no",
    int: "is not a whole number",
    Decimal: "is not a figure, such as 0.75",
    date: "is not a date, such as 2026-11-24",
    tuple: 'is not a list of texts, such as ["plug", "cord"]',
}
