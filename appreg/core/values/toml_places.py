"""TOML text with the place of every key, so that an error can name file, line and key."""

import re
import tomllib
from collections.abc import Callable, Iterator, Sequence
from functools import cached_property
from pathlib import Path
from typing import Any, Final

from appreg.errors import InputRefused

LONGEST_LINE: Final = 4000
"""Characters of one line; the time that some texts take to read grows with its square."""
_LONGEST_SAID: Final = 60
_DEEPEST: Final = 20
_LONG_QUOTES: Final = frozenset({'"""', "'''"})
_KEY_PART: Final = r"""\s*(?:"((?:[^"\\]|\\.)*)"|'([^']*)'|([A-Za-z0-9_-]+))\s*(\.)?"""


class TomlText:
    """The text of a TOML file under the name a person knows it by."""

    def __init__(self, *, name: str, text: str) -> None:
        self.name = name
        """File name, as it appears in error sentences."""
        self.text = text

    @cached_property
    def data(self) -> dict[str, Any]:
        """The values; raises InputRefused naming file and line where the text is not TOML."""
        return self.parsed(float)

    def parsed(self, number: Callable[[str], Any]) -> dict[str, Any]:
        """The values, those with a decimal point read by `number`; raises InputRefused as data."""
        for place, line in enumerate(self.text.split("\n"), 1):
            if len(line) > LONGEST_LINE:
                raise InputRefused(
                    f"{self.name}, line {place}: longer than {LONGEST_LINE} characters; break the line, "
                    "or check that it is the right file."
                )
        try:
            data = tomllib.loads(self.text, parse_float=number)
        except tomllib.TOMLDecodeError as error:
            raise InputRefused(f"{self.name} is not valid TOML: {error}; correct that line.") from error
        except (ValueError, ArithmeticError) as error:
            # Numbers of more figures than the language or the decimals can hold.
            raise InputRefused(f"{self.name} holds a number that is out of all bounds; correct it.") from error
        except RecursionError as error:
            raise InputRefused(_too_deep(self.name)) from error
        if _depth_of(data) > _DEEPEST:
            raise InputRefused(_too_deep(self.name))
        return data

    def line_of(self, path: Sequence[str | int]) -> int:
        """The line (from 1) where a key stands, or the nearest key above it; 1 where neither does."""
        wanted = tuple(path)
        while wanted:
            if wanted in self._lines:
                return self._lines[wanted]
            wanted = wanted[:-1]
        return 1

    def has(self, path: Sequence[str | int]) -> bool:
        """Tell whether the key itself is written in this text."""
        return tuple(path) in self._lines

    def refused(self, path: Sequence[str | int], problem: str) -> InputRefused:
        """The error that names file, line and key; the problem says what is wrong and what to do."""
        key = ".".join(shortened(str(part)) for part in path)
        return InputRefused(f"{self.name}, line {self.line_of(path)}, {key}: {problem}")

    @cached_property
    def _lines(self) -> dict[tuple[str | int, ...], int]:
        return _lines_of_keys(self.text)


def shortened(text: str, longest: int = _LONGEST_SAID) -> str:
    """What stands in a file, short enough for a sentence."""
    return text if len(text) <= longest else f"{text[:longest]}…"


def _too_deep(name: str) -> str:
    return f"{name} is nested deeper than {_DEEPEST} tables or lists; check that it is the right file."


def _depth_of(value: object) -> int:
    """How deep tables and lists stand in each other, looked for no deeper than matters."""
    deepest = 0
    waiting = [(value, 1)]
    while waiting and deepest <= _DEEPEST:
        inner, depth = waiting.pop()
        if isinstance(inner, dict | list):
            deepest = max(deepest, depth)
            waiting.extend((each, depth + 1) for each in (inner.values() if isinstance(inner, dict) else inner))
    return deepest


def package_toml(name: str) -> TomlText:
    """The text of a file among the package's own rule books."""
    # Not importlib.resources: importing it costs more than reading the file.
    place = Path(__file__).parents[1] / "rule_books" / name
    return TomlText(name=place.name, text=place.read_text(encoding="utf-8"))


def _lines_of_keys(text: str) -> dict[tuple[str | int, ...], int]:
    places: dict[tuple[str | int, ...], int] = {}
    table: tuple[str | int, ...] = ()
    counts: dict[tuple[str | int, ...], int] = {}
    for number, line in _statements(text):
        stripped = line.strip()
        if stripped.startswith("[["):
            name = _resolved(_key(stripped[2:])[0], counts)
            counts[name] = counts.get(name, -1) + 1
            table = (*name, counts[name])
        elif stripped.startswith("["):
            table = _resolved(_key(stripped[1:])[0], counts)
        elif stripped and not stripped.startswith("#"):
            _note_pair(places, table, stripped, number)
            continue
        else:
            continue
        _note(places, table, number)
    return places


def _note(places: dict[tuple[str | int, ...], int], path: tuple[str | int, ...], number: int) -> None:
    for length in range(1, len(path) + 1):
        places.setdefault(path[:length], number)


def _note_pair(places: dict[tuple[str | int, ...], int], table: tuple[str | int, ...], pair: str, number: int) -> None:
    key, end = _key(pair)
    path = (*table, *key)
    _note(places, path, number)
    value = pair[end:].lstrip().removeprefix("=").lstrip()
    if value.startswith("{"):
        for inner in _split_inline(value[1:]):
            if "=" in inner:
                _note_pair(places, path, inner.strip(), number)


def _resolved(name: tuple[str, ...], counts: dict[tuple[str | int, ...], int]) -> tuple[str | int, ...]:
    """Put the current index after every part of a header that is an array of tables."""
    path: tuple[str | int, ...] = ()
    for position, part in enumerate(name):
        path = (*path, part)
        if position < len(name) - 1 and path in counts:
            path = (*path, counts[path])
    return path


def _key(text: str) -> tuple[tuple[str, ...], int]:
    pattern = re.compile(_KEY_PART)
    parts = []
    end = 0
    while found := pattern.match(text, end):
        parts.append(next(part for part in found.groups()[:3] if part is not None))
        end = found.end()
        if not found[4]:
            break
    return tuple(parts), end


def _statements(text: str) -> Iterator[tuple[int, str]]:
    """Each header or key with its value as one string, and the line it begins on."""
    held: list[str] = []
    begun = 1
    depth = 0
    quote = ""
    for number, line in enumerate(text.splitlines(), 1):
        if not held:
            begun = number
        held.append(line)
        depth, quote = _after(line, depth, quote)
        if depth <= 0 and not quote:
            yield begun, " ".join(held)
            held, depth = [], 0
    if held:
        yield begun, " ".join(held)


def _after(line: str, depth: int, quote: str) -> tuple[int, str]:
    """How deep in brackets, and inside which multi-line quote, the text is at the end of a line."""
    at = 0
    while at < len(line):
        mark = line[at : at + 3] if line[at : at + 3] in _LONG_QUOTES else line[at]
        if quote:
            if line[at] == "\\" and quote[0] == '"':
                at += 2
                continue
            if line.startswith(quote, at):
                at += len(quote)
                quote = ""
                continue
            at += 1
            continue
        if mark[0] in "\"'":
            quote = mark
        elif mark == "#":
            break
        elif mark in "[{":
            depth += 1
        elif mark in "]}":
            depth -= 1
        at += len(mark)
    return depth, quote if quote in _LONG_QUOTES else ""


def _split_inline(body: str) -> list[str]:
    """The pairs of an inline table, split at the commas that stand outside brackets and quotes."""
    parts = [""]
    depth = 0
    quote = ""
    for character in body:
        if quote:
            quote = "" if character == quote else quote
        elif character in "\"'":
            quote = character
        elif character in "[{":
            depth += 1
        elif character in "]}":
            depth -= 1
        if character == "," and depth == 0 and not quote:
            parts.append("")
        elif depth >= 0:
            parts[-1] += character
    return parts
