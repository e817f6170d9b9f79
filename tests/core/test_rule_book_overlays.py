from decimal import Decimal as D
from pathlib import Path

import pytest

from appreg.core.rules import interval_table_loading
from appreg.core.rules.interval_table_loading import load_interval_tables, tables_of
from appreg.core.rules.rule_book_loading import RULE_BOOK_IDS, load_own_rule_book, load_rule_book
from appreg.core.rules.rule_keys import csa_key, csa_of, known_key
from appreg.core.rules.rule_values import Basis
from appreg.core.values.toml_places import package_toml
from appreg.errors import InputRefused

HOUSE = """
title = "House rules"

[insulation.class-2]
source = "House rules"
basis = "common practice"
least = 5

[conductor.plain]
source = "Maker's sheet"
basis = "published"
csa_2 = 9.9
"""


def test_an_overlay_changes_and_adds_figures_and_says_so_in_the_version() -> None:
    book = load_rule_book("gb", HOUSE, "house.toml")
    changed = book.figures["insulation.class-2.least"]
    assert (changed.number, changed.citation.source, changed.citation.basis) == (
        D(5),
        "House rules",
        Basis.COMMON_PRACTICE,
    )
    assert (changed.title, changed.condition) == ("Insulation resistance", "Class II")
    assert book.figures["conductor.plain.csa_2"].number == D("9.9")
    assert book.figures["insulation.class-1.least"].number == D(1)
    assert book.title == "House rules"
    assert book.version.startswith("gb 2 + house.toml ")
    assert book.version != load_rule_book("gb", HOUSE.replace("= 5", "= 6"), "house.toml").version


def test_the_package_book_is_left_alone_by_an_overlay() -> None:
    load_rule_book("gb", HOUSE, "house.toml")
    assert load_rule_book("gb").figures["insulation.class-2.least"].number == D(2)


def test_an_overlay_may_change_an_interval_table() -> None:
    text = '[intervals.hsg107-2013.rows.battery]\nnote = "ours"\n'
    book = load_rule_book("gb", text, "house.toml")
    row = next(row for row in book.interval_tables["hsg107-2013"].rows if row.id == "battery")
    assert row.citation.note == "ours"


def test_a_rule_book_of_ones_own_names_the_book_it_is_based_on() -> None:
    book = load_own_rule_book(
        'based_on = "anz"\n[earth.flat]\nvalue = 0.5\nsource = "us"\nbasis = "memory"\n', "own.toml"
    )
    assert (book.id, book.figures["earth.flat"].number) == ("anz", D("0.5"))


SAID = 'source = "x"\nbasis = "memory"\n'


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("[earth\n", r"house\.toml is not valid TOML: .*line 1"),
        ("\n[erth]\nflat = 1\n", r"house\.toml, line 2, erth: is not a key"),
        (f"[earth]\n{SAID}flatt = 1\n", r"house\.toml, line 4, earth\.flatt: is not a key"),
        (f"[earth]\n{SAID}[earth.step]\nmost = 1\n", r"house\.toml, line 4, earth\.step: is not a key"),
        ("loose = 1\n", r"house\.toml, line 1, loose: is not a key"),
        ('[earth]\nbasis = "memory"\nflat = 0.2\n', r"line 3, earth\.flat: has no source"),
        ('[earth]\nsource = "x"\nflat = 0.2\n', r"line 3, earth\.flat: has no basis; .* published, second-hand"),
        ('[earth]\nsource = "x"\nbasis = "hearsay"\nflat = 0.2\n', r"line 3, earth\.basis: must be one of published"),
        ('[earth]\nsource = ""\nbasis = "memory"\nflat = 0.2\n', r"line 4, earth\.flat: has no source"),
        ("[earth]\nsource = 3\n", r"line 2, earth\.source: must be a text in quotes"),
        (f'[earth]\n{SAID}flat = "0.2"\n', r"line 4, earth\.flat: must be a number, without quotes"),
        (f"[earth]\n{SAID}flat = true\n", r"line 4, earth\.flat: must be a number"),
        (f"[earth]\n{SAID}flat = -0.2\n", r"line 4, earth\.flat: must be a number of zero or more"),
        (f"[earth]\n{SAID}flat = nan\n", r"line 4, earth\.flat: must be a number of zero or more"),
        (f"[earth]\n{SAID}flat = inf\n", r"line 4, earth\.flat: must be a number of zero or more"),
        (f"[earth]\n{SAID}flat-options = 0.2\n", r"line 4, earth\.flat-options: must be a list of numbers"),
        (f"[earth]\n{SAID}flat-options = []\n", r"line 4, earth\.flat-options: must be a list of numbers"),
        (f"[earth]\n{SAID}flat-options = [0.1, 'x']\n", r"line 4, earth\.flat-options: must be a number"),
        (f"[earth]\n{SAID}flat = 0.4\n", r"line 4, earth\.flat: must be one of the flat limits in use: 0\.1, 0\.2"),
        (f"[inspection]\n{SAID}stop-after = ['fire']\n", r"line 4, inspection\.stop-after: 'fire' is not known"),
        (f"[inspection]\n{SAID}stop-after = 3\n", r"line 4, inspection\.stop-after: must be a list of words"),
        (f"[rcd.s]\n{SAID}1x.least = 600\n", r"line 4, rcd\.s\.1x\.least: is greater than rcd\.s\.1x\.most"),
        (f"[rcd.z]\n{SAID}1x.least = 600\n", r"line 1, rcd\.z: is not a key"),
        ('[earth]\nsource = "\\u001b[31m"\n', r"line 2, earth\.source: source: an escape character"),
        ("title = 3\n", r"line 1, title: must be a text"),
        ('based_on = "eu"\n', r"line 1, based_on: these changes are laid over rule book 'gb'"),
        ('[intervals.hsg107-2013]\nsaurce = "x"\n', r"line 2, intervals\.hsg107-2013\.saurce: is not a key"),
    ],
)
def test_an_overlay_that_is_wrong_is_refused_naming_file_line_and_key(text: str, sentence: str) -> None:
    with pytest.raises(InputRefused, match=sentence):
        load_rule_book("gb", text, "house.toml")


def test_a_rule_book_of_ones_own_without_a_base_is_refused() -> None:
    with pytest.raises(InputRefused, match=r"own\.toml, line 1, based_on: must name .* gb, eu, anz"):
        load_own_rule_book('title = "ours"\n', "own.toml")


def test_an_unknown_rule_book_is_refused_naming_those_there_are() -> None:
    with pytest.raises(InputRefused, match="choose from gb, eu, anz"):
        load_rule_book("us")


def test_every_rule_book_and_interval_table_of_the_package_is_named_by_the_books() -> None:
    heads = package_toml("books.toml")
    assert tuple(heads.data) == RULE_BOOK_IDS
    files = Path(interval_table_loading.__file__).parents[1].joinpath("rule_books", "intervals").glob("*.toml")
    named = [table for book_id in RULE_BOOK_IDS for table in tables_of(book_id)]
    assert sorted(named) == sorted(path.stem for path in files)
    assert [
        load_interval_tables(book_id)[table].id for book_id in RULE_BOOK_IDS for table in tables_of(book_id)
    ] == named


@pytest.mark.parametrize("book_id", RULE_BOOK_IDS)
def test_a_book_is_read_once(book_id: str) -> None:
    assert load_rule_book(book_id) is load_rule_book(book_id)


@pytest.mark.parametrize("size", ["0.5", "0.75", "1", "1.25", "16"])
def test_a_conductor_size_and_its_key_are_one(size: str) -> None:
    assert csa_of(csa_key(D(size))) == D(size)
    assert known_key(f"conductor.plain.{csa_key(D(size))}") is not None


@pytest.mark.parametrize("part", ["csa_", "csa_x", "csa_1_2_3", "csa_1_0", "csa_nan", "size"])
def test_what_is_no_conductor_size_has_no_figure(part: str) -> None:
    assert known_key(f"conductor.plain.{part}") is None
