"""The file site.toml of a sample site: client, place, rooms, people, instruments and visits."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any, Final, TypeVar

from msgspec import Struct

from appreg.core.values.text import clean
from appreg.core.values.toml_places import TomlText
from appreg.errors import InputRefused
from appreg.exchange.file_problems import FileProblem
from appreg.exchange.sample_records import (
    SampleClient,
    SampleInstrument,
    SampleLocation,
    SamplePerson,
    SamplePlace,
    SampleVisit,
)

Part = TypeVar("Part", SampleClient, SampleInstrument, SampleLocation, SamplePerson, SamplePlace, SampleVisit)

_REQUIRED: Final = frozenset({"name", "prefix", "environment", "initials", "serial", "on", "person"})
_OPTIONAL_HERE: Final = frozenset({(SampleLocation, "environment")})
_DATES: Final = frozenset({"on", "calibration_due"})
_TABLES: Final = frozenset({"client", "site", "location", "person", "instrument", "visit"})


class SiteFile(Struct, frozen=True, kw_only=True):
    """All of site.toml."""

    client: SampleClient
    place: SamplePlace
    locations: tuple[SampleLocation, ...]
    people: tuple[SamplePerson, ...]
    instruments: tuple[SampleInstrument, ...]
    visits: tuple[SampleVisit, ...]


def read_site_file(text: str, file: str) -> tuple[SiteFile | None, list[FileProblem]]:
    """The file's content, or None with its problems."""
    toml = TomlText(name=file, text=text)
    try:
        reader = _TableReader(toml, toml.data)
    except InputRefused as problem:
        return None, [FileProblem(file=file, line=1, column="", what=str(problem).rstrip("."), todo="mend the file")]
    site_file = SiteFile(
        client=reader.one("client", SampleClient),
        place=reader.one("site", SamplePlace),
        locations=reader.many("location", SampleLocation),
        people=reader.many("person", SamplePerson),
        instruments=reader.many("instrument", SampleInstrument),
        visits=reader.many("visit", SampleVisit),
    )
    reader.note_unknown("", (), reader.data, _TABLES)
    return (None if reader.problems else site_file), reader.problems


class _TableReader:
    """Reads tables into values and gathers what is wrong with them."""

    def __init__(self, toml: TomlText, data: Mapping[str, Any]) -> None:
        self._toml = toml
        self.data = data
        self.problems: list[FileProblem] = []

    def one(self, key: str, kind: type[Part]) -> Part:
        """The table of that name."""
        table = self.data.get(key)
        if not isinstance(table, dict):
            self._note((key,), "this table is missing", f"add [{key}]")
            table = {}
        return self._part((key,), table, kind)

    def many(self, key: str, kind: type[Part]) -> tuple[Part, ...]:
        """The tables of that name, in the order of the file."""
        tables = self.data.get(key, [])
        if not isinstance(tables, list) or not all(isinstance(each, dict) for each in tables):
            self._note((key,), "this is not a list of tables", f"write [[{key}]] before each")
            return ()
        return tuple(self._part((key, at), table, kind) for at, table in enumerate(tables))

    def note_unknown(
        self, where: str, path: Sequence[str | int], table: Mapping[str, Any], known: frozenset[str]
    ) -> None:
        """Note keys that nothing reads."""
        for key in table:
            if key not in known:
                self._note((*path, key), f"{where}this key is not known", f"use {', '.join(sorted(known))}")

    def _part(self, path: tuple[str | int, ...], table: Mapping[str, Any], kind: type[Part]) -> Part:
        names = kind.__struct_fields__
        self.note_unknown("", path, table, frozenset(names))
        values: dict[str, Any] = {}
        for name in names:
            required = name in _REQUIRED and (kind, name) not in _OPTIONAL_HERE
            values[name] = self._value((*path, name), table.get(name), is_date=name in _DATES, required=required)
        return kind(**values)

    def _value(self, path: tuple[str | int, ...], value: object, *, is_date: bool, required: bool) -> str | date | None:
        empty = None if is_date else ""
        if value is None or value == "":
            if required:
                self._note(path, "nothing is given", "give it")
            return empty
        if is_date:
            if type(value) is date:
                return value
            self._note(path, "this is not a date", "write it as 2026-11-24, without quotes")
            return None
        if not isinstance(value, str):
            self._note(path, "this is not a text", "put it in quotes")
            return ""
        try:
            return clean(value, field=str(path[-1]))
        except InputRefused as problem:
            self._note(path, str(problem).rstrip("."), "correct it")
            return ""

    def _note(self, path: Sequence[str | int], what: str, todo: str) -> None:
        name = ".".join(str(part) for part in path)
        self.problems.append(
            FileProblem(file=self._toml.name, line=self._toml.line_of(path), column=name, what=what, todo=todo)
        )
