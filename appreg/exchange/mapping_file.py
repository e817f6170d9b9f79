"""Mappings kept as TOML of our own: written, read with file, line and key of what is wrong, found again for tables that look alike."""

import json
from collections.abc import Iterator, Mapping, Sequence
from itertools import islice
from pathlib import Path
from typing import Any, Final, TypeVar

from msgspec.structs import replace

from appreg.core.records.checks import Check
from appreg.core.values.text import LONGEST, clean
from appreg.core.values.toml_places import TomlText
from appreg.errors import InputRefused
from appreg.exchange.cell_units import fits
from appreg.exchange.cell_words import answers_of
from appreg.exchange.column_mapping import ColumnMapping, DateOrder, Layout, MappedColumn, may_be_on_every_line
from appreg.exchange.import_fields import FieldForm, ImportField, ImportKind, by_name
from appreg.exchange.mapped_rows import heads_of
from appreg.exchange.source_again import OUR_HEADS
from appreg.exchange.source_file import Source
from appreg.given_files import read_text

Choice = TypeVar("Choice", ImportKind, Layout, DateOrder)

_FORMAT: Final = "appreg.mapping"
_VERSION: Final = 1
_MOST_BYTES: Final = 250_000
_MOST_LINES: Final = 100
"""Lines that may stand above or in the heads."""
_MOST_COLUMNS: Final = 1000
_HEADS_WITHIN: Final = 12
"""Rows among which heads that are known are looked for."""
_ALIKE: Final = 0.8
"""The share of heads that a table must have in common with the one a mapping was made for."""
_TEXTS: Final = ("name", "sheet", "encoding", "delimiter", "quote")
_KEYS: Final = frozenset(
    ("format", "version", "kind", "layout", "lines-before", "head-lines", "skip", "date-order", "decimal", "over-range", "blanks", "column",
     "constants", "tests", *_TEXTS)
)  # fmt: skip
_COLUMN_KEYS: Final = frozenset(
    ("head", "position", "field", "unit", "units-beside", "date-order", "decimal", "values", "reason")
)
_HELP: Final = "correct the mapping."


def mapping_text(mapping: ColumnMapping) -> str:
    """A mapping as TOML; what it says of itself alone, its problems, is not in it."""
    return "\n".join(_told(mapping)) + "\n"


def _told(mapping: ColumnMapping) -> Iterator[str]:
    yield f"format = {_quoted(_FORMAT)}"
    yield f"version = {_VERSION}"
    yield f"kind = {_quoted(mapping.kind)}"
    yield f"layout = {_quoted(mapping.layout)}"
    for key in _TEXTS:
        if value := getattr(mapping, key):
            yield f"{key} = {_quoted(value)}"
    yield f"lines-before = {mapping.lines_before}"
    yield f"head-lines = {mapping.head_lines}"
    if mapping.date_order:
        yield f"date-order = {_quoted(mapping.date_order)}"
    yield f"decimal = {_quoted(mapping.decimal)}"
    for key, words in (("skip", mapping.skip), ("over-range", mapping.over_range), ("blanks", mapping.blanks)):
        yield f"{key} = [{', '.join(map(_quoted, words))}]"
    for key, table in (("constants", mapping.constants), ("tests", mapping.tests)):
        if table:
            yield from ("", f"[{key}]", *_pairs(table))
    for column in mapping.columns:
        yield from _column_told(column)


def _column_told(column: MappedColumn) -> Iterator[str]:
    yield from ("", "[[column]]", f"head = {_quoted(column.head)}", f"position = {column.position}")
    told = {
        "field": column.field,
        "unit": column.unit,
        "date-order": column.date_order or "",
        "decimal": column.decimal,
        "reason": column.reason,
    }
    yield from (f"{key} = {_quoted(value)}" for key, value in told.items() if value)
    if column.units_beside:
        yield "units-beside = true"
    if column.values:
        yield from ("[column.values]", *_pairs(column.values))


def _pairs(table: Mapping[str, str]) -> Iterator[str]:
    return (f"{_quoted(key)} = {_quoted(value)}" for key, value in table.items())


def _quoted(text: str) -> str:
    """A basic string: what JSON escapes TOML escapes alike, and DEL besides."""
    return json.dumps(str(text), ensure_ascii=False).replace("\x7f", "\\u007f")


def read_mapping_file(path: Path) -> ColumnMapping:
    """Read a mapping that a person names; raises InputRefused as read_mapping() and read_text()."""
    return read_mapping(read_text(path, what="a mapping", most_bytes=_MOST_BYTES), path.name)


def read_mapping(text: str, name: str) -> ColumnMapping:
    """Read a mapping; raises InputRefused naming file, line and key of what cannot be."""
    toml = TomlText(name=name, text=text)
    data = toml.data
    if data.get("format") != _FORMAT:
        raise InputRefused(f'{name} is no mapping: it lacks the line `format = "{_FORMAT}"`; name another file.')
    if data.get("version") != _VERSION:
        raise toml.refused(["version"], f"this program reads version {_VERSION}; use a newer program.")
    _refuse_unknown(toml, [], data, _KEYS)
    reader = _Reader(toml)
    kind = reader.choice(data, [], "kind", ImportKind)
    if kind is None:
        raise toml.refused(["kind"], f"is missing; write one of {', '.join(ImportKind)}.")
    layout = reader.choice(data, [], "layout", Layout) or Layout.WIDE
    mapping = ColumnMapping(
        kind=kind,
        layout=layout,
        name=reader.text(data, [], "name"),
        sheet=reader.text(data, [], "sheet"),
        encoding=reader.encoding(data),
        delimiter=reader.text(data, [], "delimiter"),
        quote=reader.text(data, [], "quote"),
        lines_before=reader.whole(data, [], "lines-before", usual=0, most=_MOST_LINES),
        head_lines=reader.whole(data, [], "head-lines", usual=1, most=_MOST_LINES),
        date_order=reader.choice(data, [], "date-order", DateOrder),
        decimal=reader.decimal(data, []) or ".",
        columns=(),
    )
    lists = {key.replace("-", "_"): reader.words(data, key) for key in ("skip", "over-range", "blanks") if key in data}
    fields = by_name(kind, one_test=layout is Layout.LONG)
    return replace(
        mapping,
        **lists,
        constants=reader.fields_told(data, "constants", fields),
        tests=reader.table(data, [], "tests", frozenset(map(str, Check))),
        columns=reader.columns(data, fields),
    )


def _refuse_unknown(toml: TomlText, path: Sequence[str | int], data: Mapping[str, Any], known: frozenset[str]) -> None:
    for key in data:
        if key not in known:
            raise toml.refused([*path, key], f"is not known; use {', '.join(sorted(known))}.")


class _Reader:
    """Reads values out of the TOML of a mapping; each raises InputRefused with its place."""

    def __init__(self, toml: TomlText) -> None:
        self._toml = toml

    def text(self, data: Mapping[str, Any], path: list[str | int], key: str) -> str:
        """A text; empty where it is not there. Delimiters and quotes are kept as they are."""
        value = data.get(key, "")
        if not isinstance(value, str) or len(value) > LONGEST:
            raise self._toml.refused([*path, key], f"is no text of at most {LONGEST} characters; {_HELP}")
        if key in {"delimiter", "quote"}:
            if len(value) > 1 or value in {"\n", "\r", "\0"}:
                raise self._toml.refused([*path, key], "must be one character; write it as in “;”.")
            return value
        return value if key == "head" else clean(value, field=key)

    def encoding(self, data: Mapping[str, Any]) -> str:
        """The name of an encoding of text; empty where it is not there."""
        name = self.text(data, [], "encoding")
        try:
            "a".encode(name or "utf-8")
        except (LookupError, UnicodeError, ValueError):
            raise self._toml.refused(["encoding"], "is no encoding of text; write it as in utf-8 or cp1252.") from None
        return name

    def whole(self, data: Mapping[str, Any], path: list[str | int], key: str, *, usual: int, most: int) -> int:
        """A whole number; positions begin with 1."""
        value = data.get(key, usual)
        least = 1 if key == "position" else 0
        if not isinstance(value, int) or isinstance(value, bool) or not least <= value <= most:
            raise self._toml.refused([*path, key], f"must be a whole number from {least} to {most}; {_HELP}")
        return value

    def choice(self, data: Mapping[str, Any], path: list[str | int], key: str, choices: type[Choice]) -> Choice | None:
        """One of a closed set; None where it is not there."""
        if key not in data:
            return None
        try:
            return choices(data[key])
        except ValueError:
            raise self._toml.refused([*path, key], f"must be one of {', '.join(choices)}.") from None

    def decimal(self, data: Mapping[str, Any], path: list[str | int]) -> str:
        """The decimal mark; empty where it is not there."""
        value = data.get("decimal", "")
        if value not in ("", ".", ","):
            raise self._toml.refused([*path, "decimal"], "must be a point or a comma; write it as in “,”.")
        return str(value)

    def flag(self, data: Mapping[str, Any], path: list[str | int], key: str) -> bool:
        """Yes or no; no where it is not there."""
        value = data.get(key, False)
        if not isinstance(value, bool):
            raise self._toml.refused([*path, key], f"must be true or false; {_HELP}")
        return value

    def words(self, data: Mapping[str, Any], key: str) -> tuple[str, ...]:
        """A list of words, in the case in which they are compared."""
        value = data[key]
        if not isinstance(value, list) or not all(isinstance(each, str) and each.strip() for each in value):
            raise self._toml.refused([key], f"must be a list of words; {_HELP}")
        cased = str.upper if key == "over-range" else str.casefold
        return tuple(cased(each.strip()) for each in value)

    def table(
        self, data: Mapping[str, Any], path: list[str | int], key: str, meanings: frozenset[str] = frozenset()
    ) -> dict[str, str]:
        """Words with what each stands for, one of the meanings where these are given."""
        value = data.get(key, {})
        if not isinstance(value, dict):
            raise self._toml.refused([*path, key], f"must be a table of words; {_HELP}")
        for word, meant in value.items():
            if not isinstance(meant, str) or (meanings and meant not in meanings):
                words = f"one of {', '.join(sorted(meanings))}" if meanings else "a text"
                raise self._toml.refused([*path, key, word], f"must be {words}; {_HELP}")
            clean(meant, field=word)
        return dict(value)

    def fields_told(self, data: Mapping[str, Any], key: str, fields: Mapping[str, ImportField]) -> dict[str, str]:
        """Texts by field."""
        told = self.table(data, [], key)
        for name, text in told.items():
            if name not in fields:
                raise self._toml.refused([key, name], f"is no field; use {', '.join(fields)}.")
            if not may_be_on_every_line(fields[name]):
                raise self._toml.refused([key, name], f"is a reading, which is taken on each item anew; {_HELP}")
            _check_meaning(self._toml, [key, name], fields[name], text)
        return told

    def columns(self, data: Mapping[str, Any], fields: Mapping[str, ImportField]) -> tuple[MappedColumn, ...]:
        """The columns in their order; raises InputRefused where two fill one field."""
        listed = data.get("column", [])
        if not isinstance(listed, list) or not all(isinstance(each, dict) for each in listed):
            raise self._toml.refused(["column"], "must be a list of tables; write each below a line [[column]].")
        columns = tuple(self._column(each, at, fields) for at, each in enumerate(listed))
        filled: set[str] = set()
        for at, column in enumerate(columns):
            if column.field and column.field in filled:
                raise self._toml.refused(["column", at, "field"], "is filled by another column too; keep one of them.")
            filled.add(column.field)
        return columns

    def _column(self, data: Mapping[str, Any], at: int, fields: Mapping[str, ImportField]) -> MappedColumn:
        path: list[str | int] = ["column", at]
        _refuse_unknown(self._toml, path, data, _COLUMN_KEYS)
        name, unit = self.text(data, path, "field"), self.text(data, path, "unit")
        values = self.table(data, path, "values")
        if name:
            field = fields.get(name)
            if field is None:
                raise self._toml.refused([*path, "field"], f"“{name}” is no field; use {', '.join(fields)}.")
            if unit and not fits(unit, field.unit, reading=field.form is FieldForm.READING):
                raise self._toml.refused([*path, "unit"], f"“{unit}” is no unit of {field.words}; {_HELP}")
            for word, meant in values.items():
                _check_meaning(self._toml, [*path, "values", word], field, meant)
        return MappedColumn(
            head=self.text(data, path, "head"),
            position=self.whole(data, path, "position", usual=1, most=_MOST_COLUMNS),
            field=name,
            unit=unit,
            units_beside=self.flag(data, path, "units-beside"),
            date_order=self.choice(data, path, "date-order", DateOrder),
            decimal=self.decimal(data, path),
            values=values,
            reason=self.text(data, path, "reason"),
        )


def _check_meaning(toml: TomlText, path: list[str | int], field: ImportField, meant: str) -> None:
    """Raise InputRefused where a word of a closed set is told to mean what is not in it; empty says nothing."""
    allowed = answers_of(field)
    if meant and allowed and meant not in allowed:
        raise toml.refused(path, f"“{meant}” is not known as {field.words}; use one of {', '.join(allowed)}.")


def mapping_for(source: Source, saved: Sequence[ColumnMapping]) -> ColumnMapping | None:
    """The kept mapping whose heads a table has, with where they stand in it; None where none fits."""
    fitting = [found for mapping in saved if (found := _fitted(source, mapping)) is not None]
    return max(fitting, key=lambda found: found[0])[1] if fitting else None


def _fitted(source: Source, mapping: ColumnMapping) -> tuple[float, ColumnMapping] | None:
    """How well a mapping fits a table, and it with the lines that stand above the heads there."""
    wanted = [column.head.casefold() for column in mapping.columns if column.head]
    needed = {column.head.casefold() for column in mapping.columns if column.head and column.field}
    if not mapping.head_lines or not needed or (mapping.sheet and mapping.sheet not in source.sheets):
        return None
    read = source.read_as(sheet=mapping.sheet)
    rows = [row.cells for row in islice(read.rows(), _HEADS_WITHIN + mapping.head_lines)]
    for before in range(max(len(rows) - mapping.head_lines + 1, 0)):
        heads = {head.casefold() for head in heads_of(rows[before : before + mapping.head_lines]) if head}
        heads -= set(OUR_HEADS)
        alike = sum(1 for head in wanted if head in heads) / max(len(wanted), len(heads), 1)
        if needed <= heads and alike >= _ALIKE:
            return alike, replace(mapping, lines_before=before, encoding="", delimiter="", quote="")
    return None
