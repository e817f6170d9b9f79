"""The tables as peewee sees them, one for each kind of record, made from its fields when it is first written."""

from functools import cache
from types import NoneType
from typing import Any

from peewee import IntegerField, Model, TextField

from appreg.register.record_kinds import Kind


@cache
def model_of(kind: Kind[Any]) -> Any:
    """The model of a kind's table; its columns are the record's fields, which hold text or whole numbers."""
    columns: dict[str, Any] = {name: _column(name, cells) for name, cells in kind.codec.cells.items()}
    columns |= {name: TextField() for name in kind.derived}
    columns["Meta"] = type("Meta", (), {"table_name": kind.table})
    return type(f"{kind.record.__name__}Row", (Model,), columns)


def _column(name: str, cells: tuple[type, ...]) -> Any:
    made: Any = IntegerField if int in cells else TextField
    return made(primary_key=name == "uid", null=NoneType in cells)
