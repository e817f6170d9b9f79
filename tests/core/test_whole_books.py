"""A rule book says of itself whether it is made for the whole job, and what it lacks: decided from its rows."""

import pytest
from msgspec.structs import replace

from appreg.core.rules.rule_book import LIMITS_ONLY, NEEDED, what_is_lacking
from appreg.core.rules.rule_book_loading import exact_data, load_rule_book
from appreg.core.rules.rule_figures import figures_of
from appreg.core.rules.rule_values import Basis
from appreg.core.values.toml_places import package_toml

KEYS = [key for keys in NEEDED.values() for key in keys]


def test_the_british_book_is_whole_and_the_others_say_what_they_know_from_memory_only() -> None:
    assert (load_rule_book("gb").reservation, load_rule_book("gb").lacking) == ("", ())
    assert load_rule_book("eu").lacking == ("required checks (from memory)",)
    assert load_rule_book("anz").lacking == ("required checks (from memory)", "label (from memory)")
    assert {load_rule_book(book).reservation for book in ("eu", "anz")} == {LIMITS_ONLY}


@pytest.mark.parametrize("key", KEYS)
def test_a_book_without_one_of_the_rows_it_needs_or_with_it_from_memory_is_not_whole(key: str) -> None:
    figures = dict(load_rule_book("gb").figures)
    (part,) = (part for part, keys in NEEDED.items() if key in keys)
    row = figures.pop(key)
    assert what_is_lacking(figures) == (f"{part} (none of its own)",)
    remembered = replace(row, citation=replace(row.citation, basis=Basis.MEMORY))
    assert what_is_lacking({**figures, key: remembered}) == (f"{part} (from memory)",)


def test_none_of_the_rows_a_book_needs_of_its_own_is_lent_by_what_all_books_share() -> None:
    shared = package_toml("every-book.toml")
    assert not set(KEYS) & set(figures_of(exact_data(shared), shared, {}))


def test_whoever_checks_the_rows_against_the_document_makes_the_book_whole() -> None:
    rows = "\n".join(
        f'{key} = {{ value = ["{words}"] }}'
        for key, words in (
            ("class-1", '", "'.join(load_rule_book("eu").figures["required.class-1"].words)),
            ("class-2", '", "'.join(load_rule_book("eu").figures["required.class-2"].words)),
            ("cord-set", '", "'.join(load_rule_book("eu").figures["required.cord-set"].words)),
            ("extension-lead", '", "'.join(load_rule_book("eu").figures["required.extension-lead"].words)),
        )
    )
    text = f'[required]\nsource = "EN 50699, read by us"\nbasis = "published"\n{rows}\n'
    assert load_rule_book("eu", text, "house.toml").reservation == ""
