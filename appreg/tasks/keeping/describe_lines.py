"""The JSON Schema of every line of a register written as JSON Lines, made from what the records declare."""

import types
from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import Any, Final, Union, get_args, get_origin

from msgspec.json import schema_components

from appreg.core.values.uids import Uid
from appreg.exchange.register_lines import FORMAT, LinesEnd, LinesHead
from appreg.register.copies.whole_rows import BESIDE_FIELDS, BOOK_COLUMNS
from appreg.register.schema.record_kinds import KINDS, Kind

_UID: Final = {"type": "string", "pattern": "^[0-9A-HJKMNP-TV-Z]{26}$"}
_PLAIN: Final[dict[Any, dict[str, Any]]] = {
    str: {"type": "string"},
    int: {"type": "integer", "minimum": -(1 << 63), "maximum": (1 << 63) - 1},
    bool: {"enum": [0, 1]},
    Decimal: {"type": "string", "pattern": "^-?[0-9]+(\\.[0-9]+)?$"},
    date: {"type": "string", "format": "date"},
    types.NoneType: {"type": "null"},
    Uid: _UID,
}
_LIST: Final = {"type": "string", "pattern": "^\\[.*\\]$", "description": "a list of texts, as JSON"}


def lines_schema() -> dict[str, Any]:
    """The schema (draft 2020-12): a line is its head, a row of one of the tables, or its end."""
    shapes, definitions = schema_components([LinesHead, LinesEnd], ref_template="#/$defs/{name}")
    rows = {kind.table: _row(kind.table, _cells(kind), str(kind.record.__doc__)) for kind in KINDS.values()}
    rows |= {name: _row(name, columns, "One of the register's own books.") for name, columns in _books().items()}
    lines = [*shapes, *({"$ref": f"#/$defs/{table}"} for table in rows)]
    told = {"description": "A line of a whole register, as `export FILE.jsonl` writes it.", "anyOf": lines}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": FORMAT,
        "$ref": "#/$defs/RegisterLine",
        "$defs": {"RegisterLine": told, **definitions, **rows},
    }


def _row(table: str, cells: dict[str, dict[str, Any]], description: str) -> dict[str, Any]:
    return {
        "description": description,
        "type": "object",
        "properties": {
            "table": {"const": table},
            "cells": {
                "type": "object",
                "properties": cells,
                "required": sorted(cells),
                "additionalProperties": False,
            },
        },
        "required": ["cells", "table"],
        "additionalProperties": False,
    }


def _cells(kind: Kind[Any]) -> dict[str, dict[str, Any]]:
    own = {name: _cell(hint) for name, hint in kind.record.__annotations__.items()}
    return own | {name: _cell(hint) for name, hint in BESIDE_FIELDS.get(kind.table, {}).items()}


def _books() -> dict[str, dict[str, dict[str, Any]]]:
    return {table: {name: _cell(hint) for name, hint in columns.items()} for table, columns in BOOK_COLUMNS.items()}


def _cell(hint: Any) -> dict[str, Any]:
    if get_origin(hint) in {types.UnionType, Union}:
        return {"anyOf": [_cell(each) for each in get_args(hint)]}
    if hint in _PLAIN:
        return _PLAIN[hint]
    plain = getattr(hint, "__supertype__", hint)
    if get_origin(plain) is tuple:
        return _LIST
    return {"enum": [each.value for each in plain]} if issubclass(plain, StrEnum) else _PLAIN[plain]
