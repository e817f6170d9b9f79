"""Where outside checks say which rule-book values they prove.

Every outside check is a row that names the values that decide it. A module `tests/outside/test_*.py` with such rows puts
them into a module constant `CHECKED: tuple[Checked, ...]` and runs each in a parametrised test:

    CHECKED = (Checked(book="gb", keys=("earth.plus-cord",), expected="...", source="...", basis="published", run=check),)

    @pytest.mark.parametrize(("row", "book_id"), cases(CHECKED), ids=case_name)
    def test_the_books_agree_with_the_sources(row: Checked, book_id: str) -> None:
        row.run(load_rule_book(book_id))

`book` "*" claims the keys in all three books. test_every_rule_value_is_checked.py gathers CHECKED of every module here
and compares it with RuleBook.values(); for figures of the electrical sections it also alters each claimed value and
expects `run` to fail, so that a claim cannot be empty.
"""

from collections.abc import Callable, Iterable
from typing import Final

from msgspec import Struct

from appreg.core.rules.rule_book import RuleBook

BOOKS: Final = ("gb", "eu", "anz")


class Checked(Struct, frozen=True, kw_only=True):
    """One outside check: the values it rests on, where the expectation comes from, and the check itself."""

    book: str
    """A book id, or "*" for every book."""
    keys: tuple[str, ...]
    """Keys of RuleBook.values() whose change would change the result."""
    expected: str
    """The expectation in words, as the source has it."""
    source: str
    basis: str
    run: Callable[[RuleBook], None]
    """Asserts the expectation on a book."""

    @property
    def books(self) -> tuple[str, ...]:
        """The books the row speaks of."""
        return BOOKS if self.book == "*" else (self.book,)


def cases(rows: Iterable[Checked]) -> list[tuple[Checked, str]]:
    """Each row with each book it speaks of."""
    return [(row, book) for row in rows for book in row.books]


def case_name(part: object) -> str:
    """The name of a parametrised case: the book and what is expected."""
    return part.expected if isinstance(part, Checked) else str(part)
