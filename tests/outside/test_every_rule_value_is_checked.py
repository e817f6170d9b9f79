"""Every value of every rule book has a source, a basis, and at least one outside check that it decides."""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from decimal import Decimal
from importlib import import_module
from pathlib import Path
from typing import cast

import pytest
from msgspec.structs import replace

from appreg.core.rules.rule_book import Amount, Figure, RuleBook
from appreg.core.rules.rule_book_loading import RULE_BOOK_IDS, load_rule_book
from appreg.core.rules.rule_values import Basis
from appreg.errors import AppregError
from tests.outside.checked_values import BOOKS, Checked


def gathered() -> tuple[Checked, ...]:
    """The rows of every module of this folder."""
    rows: list[Checked] = []
    for path in sorted(Path(__file__).parent.glob("test_*.py")):
        if path.stem != Path(__file__).stem:
            rows.extend(getattr(import_module(f"tests.outside.{path.stem}"), "CHECKED", ()))
    return tuple(rows)


ROWS = gathered()
FIGURE_CLAIMS = sorted(
    {(book, key) for row in ROWS for book in row.books for key in row.keys if key in load_rule_book(book).figures}
)


def rows_by_claim() -> Mapping[tuple[str, str], list[Checked]]:
    by_claim: dict[tuple[str, str], list[Checked]] = defaultdict(list)
    for row in ROWS:
        for book in row.books:
            for key in row.keys:
                by_claim[book, key].append(row)
    return by_claim


ROWS_OF = rows_by_claim()


def altered(amount: Amount) -> Iterator[Amount]:
    """Other amounts that a slip of the hand could leave in a book."""
    if isinstance(amount, Decimal):
        yield from (amount * 2, amount / 2, amount + Decimal("0.01"), Decimal(0))
        return
    for at, part in enumerate(amount):
        others: list[Decimal | str] = [*amount[:at], *amount[at + 1 :]]
        yield cast("Amount", tuple(others))
        if isinstance(part, Decimal):
            yield cast("Amount", (*others[:at], part * 2, *others[at:]))


def disagrees(row: Checked, book: RuleBook) -> bool:
    try:
        row.run(book)
    except (AssertionError, AppregError, KeyError, IndexError, ValueError, ArithmeticError):
        return True
    return False


def notices_a_change(row: Checked, book: RuleBook, figure: Figure) -> bool:
    for amount in altered(figure.amount):
        figures = {**book.figures, figure.key: replace(figure, amount=amount)}
        if disagrees(row, replace(book, figures=figures)):
            return True
    return False


def test_the_books_are_the_ones_the_checks_speak_of() -> None:
    assert BOOKS == RULE_BOOK_IDS


@pytest.mark.parametrize("book_id", RULE_BOOK_IDS)
def test_every_value_has_a_source_and_a_basis(book_id: str) -> None:
    for value in load_rule_book(book_id).values():
        assert value.citation.source.strip(), value.key
        assert isinstance(value.citation.basis, Basis), value.key


@pytest.mark.parametrize("book_id", RULE_BOOK_IDS)
def test_every_key_is_unique_in_its_book(book_id: str) -> None:
    keys = [value.key for value in load_rule_book(book_id).values()]
    assert len(keys) == len(set(keys))


@pytest.mark.parametrize("book_id", RULE_BOOK_IDS)
def test_every_value_is_claimed_by_an_outside_check(book_id: str) -> None:
    claimed = {key for row in ROWS if book_id in row.books for key in row.keys}
    assert [value.key for value in load_rule_book(book_id).values() if value.key not in claimed] == []


@pytest.mark.parametrize("book_id", RULE_BOOK_IDS)
def test_every_claim_is_of_a_value_that_exists(book_id: str) -> None:
    present = {value.key for value in load_rule_book(book_id).values()}
    assert {key for row in ROWS if book_id in row.books for key in row.keys} <= present


def test_every_check_names_its_source_and_basis() -> None:
    assert [row.expected for row in ROWS if not (row.source and row.basis)] == []


@pytest.mark.parametrize(("book_id", "key"), FIGURE_CLAIMS)
def test_a_check_that_claims_a_figure_notices_when_it_is_altered(book_id: str, key: str) -> None:
    book = load_rule_book(book_id)
    for row in ROWS_OF[book_id, key]:
        assert notices_a_change(row, book, book.figures[key]), row.expected
