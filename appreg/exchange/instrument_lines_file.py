"""How the lines of an instrument are read, kept as TOML of our own: read with file, line and key of what is wrong."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from appreg.core.records.checks import Check
from appreg.core.rules.check_limits import UNIT_OF_CHECK
from appreg.core.values.readings import Unit
from appreg.core.values.text import clean
from appreg.core.values.toml_places import TomlText
from appreg.errors import InputRefused
from appreg.exchange.cell_units import fits
from appreg.exchange.column_mapping import OVER_RANGE
from appreg.exchange.instrument_lines import (
    READING,
    InstrumentLines,
    InstrumentPort,
    LinePattern,
    line_as_sent,
    pattern_of,
)
from appreg.given_files import read_text

_FORMAT: Final = "appreg.instrument-lines"
_VERSION: Final = 1
_MOST_BYTES: Final = 100_000
_MOST_PATTERNS: Final = 100
_LONGEST: Final = 200
_SPEEDS: Final = range(50, 4_000_001)
_PARITIES: Final = ("none", "even", "odd")
_KEYS: Final = frozenset(
    ("format", "version", "decimal", "over-range", "skip", "port", "checks", "units", "values", "line")
)
_LINE_KEYS: Final = frozenset(("pattern", "check", "unit"))
_PORT_KEYS: Final = frozenset(("speed", "data-bits", "parity", "stop-bits", "encoding"))
_HELP: Final = "correct the file."


def read_lines_file(path: Path) -> InstrumentLines:
    """Read the file that a person names; raises InputRefused as read_instrument_lines() and read_text()."""
    text = read_text(path, what="lines of an instrument", most_bytes=_MOST_BYTES)
    return read_instrument_lines(text, path.name)


def read_instrument_lines(text: str, name: str) -> InstrumentLines:
    """Read how lines are read; raises InputRefused naming file, line and key of what cannot be."""
    toml = TomlText(name=name, text=text)
    data = toml.data
    if data.get("format") != _FORMAT:
        raise InputRefused(f'{name} tells no lines: it lacks the line `format = "{_FORMAT}"`; name another file.')
    if data.get("version") != _VERSION:
        raise toml.refused(["version"], f"this program reads version {_VERSION}; use a newer program.")
    _refuse_unknown(toml, [], data, _KEYS)
    over = _words(toml, data, "over-range")
    return InstrumentLines(
        name=name,
        patterns=_patterns(toml, data),
        port=_port(toml, data),
        decimal=_one_of(toml, [], data, "decimal", (".", ",")),
        over_range=OVER_RANGE if over is None else tuple(word.upper() for word in over),
        skip=_words(toml, data, "skip") or (),
        checks={word.casefold(): _check(toml, ["checks", word], told) for word, told in _table(toml, data, "checks")},
        units=dict(_unit_of(toml, word, told) for word, told in _table(toml, data, "units")),
        values={word.casefold(): told for word, told in _table(toml, data, "values")},
    )


def _refuse_unknown(toml: TomlText, path: Sequence[str | int], data: Mapping[str, Any], known: frozenset[str]) -> None:
    for key in data:
        if key not in known:
            raise toml.refused([*path, key], f"is not known; use {', '.join(sorted(known))}.")


def _patterns(toml: TomlText, data: Mapping[str, Any]) -> tuple[LinePattern, ...]:
    listed = data.get("line", [])
    if not isinstance(listed, list) or not all(isinstance(each, dict) for each in listed):
        raise toml.refused(["line"], "must be a list of tables; write each below a line [[line]].")
    if not 1 <= len(listed) <= _MOST_PATTERNS:
        raise toml.refused(["line"], f"gives {len(listed)} patterns; write 1 to {_MOST_PATTERNS}.")
    return tuple(_pattern(toml, ["line", at], each) for at, each in enumerate(listed))


def _pattern(toml: TomlText, path: list[str | int], data: Mapping[str, Any]) -> LinePattern:
    _refuse_unknown(toml, path, data, _LINE_KEYS)
    check = _check(toml, [*path, "check"], data["check"]) if "check" in data else None
    unit = _text(toml, [*path, "unit"], data.get("unit", ""))
    own = (UNIT_OF_CHECK[check],) if check is not None else tuple(Unit)
    if unit and not any(fits(unit, each, reading=True) for each in own):
        raise toml.refused([*path, "unit"], f"“{unit}” is no unit of {check or 'a reading'}; {_HELP}")
    try:
        pattern = pattern_of(_text(toml, [*path, "pattern"], data.get("pattern", "")), check=check, unit=unit)
    except InputRefused as refused:
        raise toml.refused([*path, "pattern"], refused.problem) from refused
    if READING not in pattern.places and (check is not None or unit):
        raise toml.refused(path, "check and unit belong to {reading}; say units of checks below [units].")
    return pattern


def _port(toml: TomlText, data: Mapping[str, Any]) -> InstrumentPort:
    told = data.get("port", {})
    if not isinstance(told, dict):
        raise toml.refused(["port"], "must be a table; write it below a line [port].")
    _refuse_unknown(toml, ["port"], told, _PORT_KEYS)
    speed = told.get("speed", 9600)
    if not isinstance(speed, int) or isinstance(speed, bool) or speed not in _SPEEDS:
        raise toml.refused(["port", "speed"], "must be a whole number of bits a second; write it as in 9600.")
    return InstrumentPort(
        speed=speed,
        data_bits=_one_of(toml, ["port"], told, "data-bits", (8, 7, 6, 5)),
        parity=_one_of(toml, ["port"], told, "parity", _PARITIES),
        stop_bits=_one_of(toml, ["port"], told, "stop-bits", (1, 2)),
        encoding=_encoding(toml, told),
    )


def _encoding(toml: TomlText, told: Mapping[str, Any]) -> str:
    """Lines end with one byte, so it is an encoding that leaves those as they are."""
    name = _text(toml, ["port", "encoding"], told.get("encoding", "utf-8"))
    try:
        if "a\n".encode(name) == b"a\n":
            return name
    except (LookupError, UnicodeError, ValueError):
        pass
    raise toml.refused(["port", "encoding"], "is no encoding of lines; write it as in utf-8, cp1252 or cp850.")


def _one_of(toml: TomlText, path: list[str | int], data: Mapping[str, Any], key: str, choices: tuple[Any, ...]) -> Any:
    """One of a closed set, the first where nothing is said."""
    value = data.get(key, choices[0])
    if type(value) is not type(choices[0]) or value not in choices:
        raise toml.refused([*path, key], f"must be one of {', '.join(map(str, choices))}.")
    return value


def _text(toml: TomlText, path: list[str | int], value: object) -> str:
    if not isinstance(value, str):
        raise toml.refused(path, f"is no text; {_HELP}")
    try:
        return clean(value, field=str(path[-1]), longest=_LONGEST)
    except InputRefused as refused:
        raise toml.refused(path, refused.problem) from refused


def _words(toml: TomlText, data: Mapping[str, Any], key: str) -> tuple[str, ...] | None:
    """A list of words; None where it is not there."""
    if key not in data:
        return None
    value = data[key]
    words = [line_as_sent(each) for each in value if isinstance(each, str)] if isinstance(value, list) else []
    if not isinstance(value, list) or len(words) < len(value) or not all(words):
        raise toml.refused([key], f"must be a list of words; {_HELP}")
    return tuple(words)


def _table(toml: TomlText, data: Mapping[str, Any], key: str) -> list[tuple[str, str]]:
    value = data.get(key, {})
    if not isinstance(value, dict):
        raise toml.refused([key], f"must be a table of words; {_HELP}")
    return [(word, _text(toml, [key, word], told)) for word, told in value.items()]


def _check(toml: TomlText, path: list[str | int], told: object) -> Check:
    """A check that is measured: what an instrument says of others is no answer."""
    if told not in [check.value for check in UNIT_OF_CHECK]:
        raise toml.refused(path, f"is no check that is measured; use one of {', '.join(UNIT_OF_CHECK)}.")
    return Check(str(told))


def _unit_of(toml: TomlText, word: str, unit: str) -> tuple[Check, str]:
    check = _check(toml, ["units", word], word)
    if not fits(unit, UNIT_OF_CHECK[check], reading=True):
        raise toml.refused(["units", word], f"“{unit}” is no unit of {check}; {_HELP}")
    return check, unit
