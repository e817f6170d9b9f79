"""A folder of a site that is kept by keys, read back into its records; problems are gathered with their places."""

import csv
import io
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Any, Final

from msgspec import Struct

from appreg.core.values.text import unguarded_cell
from appreg.core.values.toml_places import TomlText
from appreg.core.values.uids import is_uid
from appreg.errors import InputRefused
from appreg.exchange.file_problems import FileProblem
from appreg.exchange.sample_folder import SITE_FILE
from appreg.exchange.site_form import (
    FOLDER,
    FORM,
    KEY,
    RECORDED,
    TABLES,
    VERSION,
    FolderColumn,
    columns_of,
    files,
    names_of,
    referred,
    told_parts,
)
from appreg.given_files import opened_given, read_text

_MOST_OF_SITE: Final = 50_000_000
_MOST_PROBLEMS: Final = 200
"""Told of one folder; whoever mends so many reads it again."""


class SiteFolder(Struct, frozen=True, kw_only=True):
    """What stands in a folder."""

    folder: str
    records: Mapping[type[Any], tuple[Any, ...]]
    recorded: Mapping[str, int]
    """By key of what was recorded: its place in that order."""


class _Row(Struct, frozen=True, kw_only=True):
    """A line or a table, with its place."""

    kind: type[Any]
    file: str
    line: int
    cells: dict[str, Any]
    """By column, before it is read."""


def is_kept_by_keys(folder: Path) -> bool:
    """Tell whether a folder says that it has this form; raises InputRefused where its site.toml cannot be read."""
    return FOLDER in _site_toml(folder).data


def read_site_folder(folder: Path) -> tuple[SiteFolder | None, tuple[FileProblem, ...]]:
    """The records of the site, or None with what is wrong in its files."""
    reader = _Reader(folder)
    try:
        found = reader.read()
    except InputRefused as problem:
        said = FileProblem(file=folder.name, line=1, column="", what=str(problem).rstrip("."), todo="mend the folder")
        return None, (said,)
    return (None if reader.problems else found), tuple(reader.problems[:_MOST_PROBLEMS])


def _site_toml(folder: Path) -> TomlText:
    text = read_text(folder / SITE_FILE, what="a site", most_bytes=_MOST_OF_SITE)
    return TomlText(name=f"{folder.name}/{SITE_FILE}", text=text)


class _Reader:
    """Reads tables and lines, then what each refers to."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self.problems: list[FileProblem] = []
        self._recorded: dict[str, int] = {}

    def read(self) -> SiteFolder:
        """The records, as far as they can be read."""
        toml = _site_toml(self._folder)
        named = list(self._files(toml))
        rows = [row for kind, table in TABLES.items() for row in self._tables(toml, kind, table)]
        rows += [row for kind, name in named for row in self._lines(kind, name)]
        self._note_unknown(toml)
        values = [(row, self._values(row)) for row in rows]
        known = self._known(values)
        records: dict[type[Any], list[Any]] = {kind: [] for kind, _ in told_parts()}
        for row, value in values:
            made = self._made(row, value, known)
            if made is not None:
                records[row.kind].append(made)
        return SiteFolder(
            folder=self._folder.name,
            records={kind: tuple(told) for kind, told in records.items()},
            recorded=self._recorded,
        )

    def _tables(self, toml: TomlText, kind: type[Any], table: str) -> Iterator[_Row]:
        told = toml.data.get(table, [])
        single = table in {"client", "site"}
        if single:
            told = [told] if isinstance(told, dict) else None
        if not isinstance(told, list) or not all(isinstance(each, dict) for each in told):
            self._note(
                toml.name, 1, table, "this is not as it should be", f"write {'[%s]' if single else '[[%s]]'}" % table
            )
            return
        for at, cells in enumerate(told):
            path = (table,) if single else (table, at)
            yield _Row(kind=kind, file=toml.name, line=toml.line_of(path), cells=cells)

    def _files(self, toml: TomlText) -> Iterator[tuple[type[Any], str]]:
        """The files that the folder says belong to it; one that has gone is missed."""
        told, kinds = toml.data[FOLDER], {name: kind for kind, name in files().items()}
        names = told.get("files") if isinstance(told, dict) else None
        if not isinstance(names, list) or (told.get("form"), told.get("version")) != (FORM, VERSION):
            self._note(toml.name, toml.line_of((FOLDER,)), FOLDER, "this is another form", "export the site again")
            return
        for name in names:
            if name in kinds:
                yield kinds[name], name
            else:
                self._note(
                    toml.name,
                    toml.line_of((FOLDER,)),
                    "files",
                    f"“{str(name)[:40]}” is not known",
                    "use a newer appreg",
                )

    def _note_unknown(self, toml: TomlText) -> None:
        for name in toml.data.keys() - {FOLDER, *TABLES.values()}:
            self._note(toml.name, toml.line_of((name,)), name, "this table is not known", "take it out")

    def _lines(self, kind: type[Any], name: str) -> Iterator[_Row]:
        path, file = self._folder / name, f"{self._folder.name}/{name}"
        with opened_given(path) as given, io.TextIOWrapper(given, encoding="utf-8-sig", newline="") as text:
            rows = csv.reader(text, strict=True)
            try:
                head = next(rows, [])
                if not self._is_head(kind, file, head):
                    return
                for cells in rows:
                    if len(cells) == len(head):
                        yield _Row(kind=kind, file=file, line=rows.line_num, cells=dict(zip(head, cells, strict=True)))
                    elif any(cells):
                        self._note(
                            file, rows.line_num, "", f"it has {len(cells)} cells, the header {len(head)}", "mend it"
                        )
            except (csv.Error, UnicodeDecodeError) as problem:
                what = "it is not UTF-8 text" if isinstance(problem, UnicodeDecodeError) else str(problem)
                self._note(file, rows.line_num + 1, "", what, "mend the file")

    def _is_head(self, kind: type[Any], file: str, head: Sequence[str]) -> bool:
        known = [*(each.name for each in columns_of(kind)), RECORDED]
        before = len(self.problems)
        for name in dict.fromkeys(head):
            if name not in known:
                self._note(file, 1, name, "this column is not known", f"use {', '.join(known)}")
            elif head.count(name) > 1:
                self._note(file, 1, name, "this column stands twice", "keep one of them")
        for name in (KEY, RECORDED):
            if name not in head:
                self._note(file, 1, name, "this column is missing", "add it")
        return len(self.problems) == before

    def _values(self, row: _Row) -> dict[str, Any]:
        """By field what stands in it, references as they are written."""
        columns = {each.name: each for each in columns_of(row.kind)}
        values: dict[str, Any] = {}
        for name in row.cells.keys() - columns.keys() - {RECORDED}:
            self._note(row.file, row.line, name, "this key is not known", f"use {', '.join(columns)}")
        for name, column in columns.items():
            if name in row.cells:
                values[column.field.name] = self._value(row, column, row.cells[name])
        if not is_uid(str(values.get("uid", ""))):
            self._note(row.file, row.line, KEY, "this is no key of 26 letters and figures", "give it")
        if RECORDED in row.cells:
            self._note_recorded(row, str(values.get("uid", "")))
        return values

    def _note_recorded(self, row: _Row, uid: str) -> None:
        told = str(row.cells[RECORDED])
        if not told.isdecimal() or not told.isascii() or len(told) > len(str(1 << 62)):
            self._note(row.file, row.line, RECORDED, f"“{told[:40]}” is not a whole number", "number it in its order")
        else:
            self._recorded[uid] = int(told)

    def _value(self, row: _Row, column: FolderColumn, cell: Any) -> Any:
        field = column.field
        if _refers(field.name):
            return unguarded_cell(cell) if isinstance(cell, str) else cell
        try:
            if isinstance(cell, str):
                return field.read(cell if row.file.endswith(SITE_FILE) else unguarded_cell(cell))
            if isinstance(cell, list):
                cell = tuple(cell)
            read = field.read(field.written(cell)) if type(cell) in {bool, int, date, tuple} else None
        except (ValueError, TypeError) as problem:
            self._note(row.file, row.line, column.name, str(problem), "correct it")
            return None
        if read is None or read != cell:
            self._note(row.file, row.line, column.name, field.form, "correct it")
        return read

    def _known(self, values: Sequence[tuple[_Row, dict[str, Any]]]) -> dict[type[Any], dict[str, str]]:
        """By kind: keys by themselves, and by the names that tell them apart."""
        rows: dict[type[Any], list[Any]] = {}
        keys: set[str] = set()
        for row, told in values:
            uid = str(told.get("uid", ""))
            if uid in keys:
                self._note(row.file, row.line, KEY, f"{uid} stands twice", "give each its own")
            keys.add(uid)
            rows.setdefault(row.kind, []).append(_Told(told))
        return {
            kind: {each.uid: each.uid for each in told} | {name: uid for uid, name in names_of(kind, told).items()}
            for kind, told in rows.items()
        }

    def _made(self, row: _Row, values: dict[str, Any], known: Mapping[type[Any], Mapping[str, str]]) -> Any:
        before = len(self.problems)
        for column in columns_of(row.kind):
            name = column.field.name
            kind = referred(name, values.get("scope"))
            told = values.get(name)
            if column.field.is_given and name not in values:
                self._note(row.file, row.line, column.name, "nothing is given", "give it")
            if kind is None or told is None:
                continue
            values[name] = known.get(kind, {}).get(told)
            if told == "" and column.field.optional:
                continue
            if values[name] is None:
                self._note(
                    row.file, row.line, column.name, f"“{str(told)[:40]}” is not known", "name one of this folder"
                )
        for name, kind in _UNDERSTOOD.items():
            if name in row.kind.__struct_fields__:
                values[name] = next(iter(known.get(kind, {})), None)
        return row.kind(**values) if len(self.problems) == before else None

    def _note(self, file: str, line: int, column: str, what: str, todo: str) -> None:
        if len(self.problems) <= _MOST_PROBLEMS:
            self.problems.append(FileProblem(file=file, line=line, column=column, what=what, todo=todo))


class _Told:
    """Values by name, as names_of() reads them of a record."""

    def __init__(self, values: Mapping[str, Any]) -> None:
        self._values = values

    def __getattr__(self, name: str) -> Any:
        return self._values.get(name, "")


def _refers(field: str) -> bool:
    return field == "target" or referred(field, None) is not None


_UNDERSTOOD: Final = {table: kind for kind, table in TABLES.items() if table in {"site", "client"}}
