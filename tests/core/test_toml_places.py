"""Errors in a file of values name the line where the key stands."""

import tomllib
from collections.abc import Callable
from contextlib import nullcontext
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appreg.core.values.toml_places import TomlText, package_toml
from appreg.errors import InputRefused

TEXT = '''# a comment with [brackets] and = signs
title = "house rules"   # and a [tail]
note = """
first = "not a key"
[not-a-table]
"""

[rows.public]
test = { every = "P6M", when = ["before use", "by, staff"] }
types = [
    "it",   # each = on its own line
    "portable",
]
visual = { shortest = "P3M", longest = { inner = 1 } }

[ "quoted.name" . inner ]
'single.key' = 1

[[lists]]
name = "a"

[[lists]]
name = "b"
more.deep = 2

[lists.child]
x = 1
'''


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("title",), 2),
        (("note",), 3),
        (("rows",), 8),
        (("rows", "public"), 8),
        (("rows", "public", "test"), 9),
        (("rows", "public", "test", "when"), 9),
        (("rows", "public", "types"), 10),
        (("rows", "public", "visual", "longest", "inner"), 14),
        (("rows", "public", "visual", "absent"), 14),
        (("rows", "absent"), 8),
        (("quoted.name", "inner"), 16),
        (("quoted.name", "inner", "single.key"), 17),
        (("lists", 0, "name"), 20),
        (("lists", 1, "name"), 23),
        (("lists", 1, "more", "deep"), 24),
        (("lists", 1, "child", "x"), 27),
        (("first",), 1),
        (("nowhere",), 1),
    ],
)
def test_the_line_of_a_key_is_where_it_is_written(path: tuple[str | int, ...], line: int) -> None:
    assert TomlText(name="house.toml", text=TEXT).line_of(path) == line


def test_a_refusal_names_file_line_and_key() -> None:
    problem = TomlText(name="house.toml", text=TEXT).refused(("rows", "public", "test"), "is too long; shorten it.")
    assert str(problem) == "house.toml, line 9, rows.public.test: is too long; shorten it."


def test_text_that_is_not_toml_is_refused_with_its_line() -> None:
    with pytest.raises(InputRefused, match=r"house\.toml is not valid TOML.*line 2"):
        _ = TomlText(name="house.toml", text="a = 1\nb = = 2\n").data


@pytest.mark.parametrize(
    "name",
    [f"intervals/{table}.toml" for table in ("hsg107-2013", "premises-2007", "dguv-v3", "anz-2003", "anz-2010")]
    + ["landlords-gb.toml"],
)
def test_every_key_of_the_shipped_files_has_its_line(name: str) -> None:
    text = package_toml(name)
    lines = text.text.splitlines()
    for path in every_path(text.data, ()):
        assert text.has(path), path
        assert str(path[-1]) in lines[text.line_of(path) - 1]


def every_path(value: object, path: tuple[str, ...]) -> list[tuple[str, ...]]:
    if not isinstance(value, dict):
        return []
    found = []
    for key, inner in value.items():
        found += [(*path, key), *every_path(inner, (*path, key))]
    return found


KEYS = st.text("ab c.-[]=#", min_size=1, max_size=5)


@given(st.dictionaries(KEYS, st.dictionaries(KEYS, st.integers(0, 9), max_size=4), max_size=4))
def test_generated_tables_place_every_key(tables: dict[str, dict[str, int]]) -> None:
    written = []
    for name, pairs in tables.items():
        written.append(f'["{name}"]')
        written += [f'"{key}" = {value}' for key, value in pairs.items()]
    text = TomlText(name="x.toml", text="\n".join(written))
    assert tomllib.loads(text.text) == tables
    for name, pairs in tables.items():
        for key, value in pairs.items():
            assert written[text.line_of((name, key)) - 1] == f'"{key}" = {value}'


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("a = " + "[" * 3000 + "]" * 900, "nested deeper"),
        ("a = " + "[\n" * 3000, "nested deeper"),
        (".".join("a" * 1500) + " = 1", "nested deeper"),
        ("a = '" + "x" * 5000 + "'", "line 1: longer than 4000 characters"),
        ("a = " + "9" * 3900 + "\nb = 1", ""),
        ("a = [\n" + "9" * 4000 + "\n]", ""),
        ("a = 2026-13-45", "not valid TOML"),
    ],
    ids=range(7),
)
def test_a_text_beyond_all_bounds_is_refused_in_a_sentence_or_read(text: str, words: str) -> None:
    toml = TomlText(name="own.toml", text=text)
    reads: tuple[Callable[[], object], ...] = (lambda: toml.data, lambda: toml.parsed(Decimal))
    for read in reads:
        with pytest.raises(InputRefused, match=f"^own.toml.*{words}") if words else nullcontext():
            read()


def test_a_number_that_no_decimal_holds_is_refused_where_numbers_are_exact() -> None:
    toml = TomlText(name="own.toml", text="a = 1e99999999999999999999")
    with pytest.raises(InputRefused, match=r"own\.toml holds a number that is out of all bounds"):
        toml.parsed(Decimal)
