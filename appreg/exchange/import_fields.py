"""The fields that a table from elsewhere may fill, taken from the records' own declarations, so that a new one comes by itself."""

from collections.abc import Iterator, Mapping
from datetime import date
from decimal import Decimal
from enum import Enum, StrEnum
from functools import cache
from types import UnionType
from typing import Any, Final, NewType, Union, get_args, get_origin

from msgspec import Struct
from msgspec.structs import fields

from appreg.core.judging.typed_checks import Setup
from appreg.core.records.checks import Check
from appreg.core.records.kept_records import Appliance, Client, InspectionKind, Location, Person, Site
from appreg.core.rules.check_limits import UNIT_OF_CHECK
from appreg.core.rules.second_lines import INSULATIONS
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid
from appreg.exchange.import_words import ITEM_WORDS, LONG_WORDS, PEOPLE_WORDS, RESULT_WORDS, SITE_WORDS


class ImportKind(StrEnum):
    """What the lines of a table are."""

    ITEMS = "items"
    RESULTS = "results"
    SITES = "sites"
    PEOPLE = "people"


class FieldForm(StrEnum):
    """How the text of a field is read."""

    TEXT = "text"
    FIGURE = "figure"
    """An exact decimal, not negative."""
    WHOLE = "whole"
    """A whole number."""
    DAY = "day"
    CHOICE = "choice"
    """One of the words of a closed set."""
    FLAG = "flag"
    """yes or no."""
    READING = "reading"
    """What an instrument shows: 0.08, >299, OL."""
    VERDICT = "verdict"
    """ok or bad."""


class ImportField(Struct, frozen=True, kw_only=True):
    """One field that a column may fill."""

    name: str
    """As the record, the check or the task names it."""
    words: str
    """What people call it first."""
    form: FieldForm
    unit: str = ""
    """The unit of its figures; empty: none."""
    required: bool = False
    """No line can do without it."""
    called: tuple[str, ...] = ()
    """What heads of tables call it, in small letters without marks."""
    choices: tuple[str, ...] = ()
    """The words of a choice."""


_UNITS: Final = (("_mm2", "mm²"), ("_ohm", "Ω"), ("_volts", "V"), ("_minutes", "min"), ("_celsius", "°C"), ("_kva", "kVA"), ("_ma", "mA"),
                 ("_ms", "ms"), ("_m", "m"), ("_a", "A"), ("_w", "W"))  # fmt: skip
"""What the name of a figure ends with, and its unit."""
_BY_INSPECTIONS: Final = frozenset({"last_inspection", "last_date", "last_outcome", "next_visual", "next_test"})
"""What inspections leave on an item: it follows from results, and is never given."""
_OF_ITEMS: Final = frozenset({"uid", "assumed", "measured", *_BY_INSPECTIONS})


@cache
def import_fields(kind: ImportKind) -> tuple[ImportField, ...]:
    """Every field that a table of a kind may fill."""
    return tuple(_FIELDS[kind]())


@cache
def long_fields() -> tuple[ImportField, ...]:
    """What stands on a line that tells one test alone, in place of the checks of a whole inspection."""
    forms = {"test": FieldForm.TEXT, "reading": FieldForm.TEXT, "unit": FieldForm.TEXT, "verdict": FieldForm.VERDICT}
    return tuple(
        ImportField(name=name, words=called[0], form=forms[name], required=name == "test", called=called)
        for name, called in LONG_WORDS.items()
    )


@cache
def by_name(kind: ImportKind, *, one_test: bool = False) -> Mapping[str, ImportField]:
    """The fields of a kind by name; with `one_test` those of a line that tells one test stand for the checks."""
    checks = set(map(str, Check)) if one_test else set()
    found = {each.name: each for each in import_fields(kind) if each.name not in checks}
    return {**found, **({each.name: each for each in long_fields()} if one_test else {})}


def _items() -> Iterator[ImportField]:
    return _declared(Appliance, ITEM_WORDS, without=_OF_ITEMS)


def _sites() -> Iterator[ImportField]:
    yield from _declared(Site, SITE_WORDS, without={"uid"}, required={"name"})
    yield from _declared(Client, SITE_WORDS, without={"uid", "name"}, before="client_")
    yield _text("location", SITE_WORDS)
    yield from _declared(Location, SITE_WORDS, without={"uid", "site", "name"}, before="location_")


def _people() -> Iterator[ImportField]:
    yield from _declared(Person, PEOPLE_WORDS, without={"uid"}, required={"name"})


def _results() -> Iterator[ImportField]:
    for name in ("tag", "serial", "make", "site"):
        yield _text(name, RESULT_WORDS)
    yield _of_type("date", date, RESULT_WORDS, required=True)
    yield _of_type("kind", InspectionKind, RESULT_WORDS)
    yield from (_text(name, RESULT_WORDS) for name in ("person", "instrument"))
    yield from map(_check, Check)
    yield from _declared(Setup, RESULT_WORDS, without={"second_volts"})
    for check in INSULATIONS[1:]:
        yield _of_type(f"{check}_volts", int, RESULT_WORDS)
    yield _of_type("applied_volts", Decimal, RESULT_WORDS)
    yield _of_type("load_kva", Decimal, RESULT_WORDS)
    yield _of_type("outcome", Outcome, RESULT_WORDS)
    yield _of_type("next", date, RESULT_WORDS)
    yield _text("remarks", RESULT_WORDS)


_FIELDS: Final = {
    ImportKind.ITEMS: _items,
    ImportKind.RESULTS: _results,
    ImportKind.SITES: _sites,
    ImportKind.PEOPLE: _people,
}


def _check(check: Check) -> ImportField:
    called = RESULT_WORDS.get(check.value) or (_plain(check.value),)
    if check in UNIT_OF_CHECK:
        unit = UNIT_OF_CHECK[check].value
        return ImportField(name=check.value, words=called[0], form=FieldForm.READING, unit=unit, called=called)
    return ImportField(name=check.value, words=called[0], form=FieldForm.VERDICT, called=called)


def _declared(
    record: type[Struct],
    words: Mapping[str, tuple[str, ...]],
    *,
    without: set[str] | frozenset[str],
    required: set[str] | frozenset[str] = frozenset(),
    before: str = "",
) -> Iterator[ImportField]:
    for each in fields(record):
        if each.name not in without:
            yield _of_type(f"{before}{each.name}", each.type, words, required=each.name in required)


def _of_type(name: str, declared: Any, words: Mapping[str, tuple[str, ...]], *, required: bool = False) -> ImportField:
    form, choices = _form(declared)
    called = words.get(name) or (_plain(_without_unit(name)),)
    unit = _unit(name) if form in {FieldForm.FIGURE, FieldForm.WHOLE} else ""
    return ImportField(
        name=name, words=called[0], form=form, unit=unit, required=required, called=called, choices=choices
    )


def _text(name: str, words: Mapping[str, tuple[str, ...]]) -> ImportField:
    return _of_type(name, str, words)


def _form(declared: Any) -> tuple[FieldForm, tuple[str, ...]]:
    """How a declared type is read, and its words where it is a closed set; keys of records are given by name."""
    if get_origin(declared) in {Union, UnionType}:
        return _form(next(each for each in get_args(declared) if each is not type(None)))
    if declared is Uid or isinstance(declared, NewType) or get_origin(declared) is tuple:
        return FieldForm.TEXT, ()
    if isinstance(declared, type) and issubclass(declared, Enum):
        return FieldForm.CHOICE, tuple(str(each.value) for each in declared)
    forms = {
        str: FieldForm.TEXT,
        bool: FieldForm.FLAG,
        int: FieldForm.WHOLE,
        Decimal: FieldForm.FIGURE,
        date: FieldForm.DAY,
    }
    return forms[declared], ()


def _unit(name: str) -> str:
    return next((unit for end, unit in _UNITS if name.endswith(end)), "")


def _without_unit(name: str) -> str:
    return next((name.removesuffix(end) for end, _ in _UNITS if name.endswith(end)), name)


def _plain(name: str) -> str:
    return name.replace("_", " ").replace("-", " ")
