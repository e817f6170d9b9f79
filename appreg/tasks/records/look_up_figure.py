"""Note that somebody compared a figure of a rule book with a copy of the document it comes from; documents then say so."""

from collections.abc import Iterable
from datetime import date

from msgspec import Struct

from appreg.core.records.job_records import FigureLookedUp
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.rules.rule_values import RuleValue
from appreg.core.values.dates_in_words import DateForm, date_words
from appreg.core.values.text import clean
from appreg.errors import InputRefused
from appreg.paper.documents.report_content import SourceLookedUp
from appreg.register.opening.register_file import Register


class LookedUp(Struct, frozen=True):
    """A figure as the book has it now, with what was noted of it."""

    value: RuleValue
    record: FigureLookedUp

    def words(self, dates: DateForm = DateForm.WORDS) -> str:
        """Where it was looked up, when and by whom."""
        copy = ", ".join(part for part in (self.record.document, self.record.edition) if part)
        return f"checked against my copy of {copy}, on {date_words(self.record.on, dates)}, by {self.record.author}"


def note_looked_up(
    register: Register, who: str, *, rule_book: str, key: str, document: str, edition: str = "", on: date, today: date
) -> FigureLookedUp:
    """Note it with the figure as the book has it now, in place of what was noted of that key before.

    Raises InputRefused where the book has no such figure, no document is named, or the day lies ahead.
    """
    value = {each.key: each for each in load_rule_book(rule_book).values()}.get(key)
    if value is None:
        raise InputRefused(
            f"rule book {rule_book} has no figure {key}; the screen Rule book (F5) lists them with their keys.",
            field="key",
        )
    if on > today:
        raise InputRefused(f"{date_words(on)} lies ahead; give the day on which it was looked up.", field="on")
    title = clean(document, field="document")
    if not title:
        raise InputRefused("document: nothing is typed; name what it was compared with.", field="document")
    with register.change(who, "figure looked up") as change:
        before = register.find(FigureLookedUp, rule_book=rule_book, key=key)
        record = FigureLookedUp(
            uid=before[0].uid if before else change.new_uid(),
            rule_book=rule_book,
            key=key,
            value=_amount(value),
            document=title,
            edition=clean(edition, field="edition"),
            on=on,
            author=who,
        )
        change.put(record)
    return record


def figures_looked_up(register: Register, book: RuleBook) -> list[LookedUp]:
    """The figures of a book of which that was noted, and which are today what they were then."""
    noted = {each.key: each for each in register.find(FigureLookedUp, rule_book=book.id)}
    return [
        LookedUp(value, noted[value.key])
        for value in book.values()
        if value.key in noted and noted[value.key].value == _amount(value)
    ]


def sources_looked_up(register: Register, books: Iterable[RuleBook], dates: DateForm) -> tuple[SourceLookedUp, ...]:
    """What a document says of the sources of its limits that somebody has looked up."""
    return tuple(said for book in books for said in _of_book(register, book, dates))


def _of_book(register: Register, book: RuleBook, dates: DateForm) -> Iterable[SourceLookedUp]:
    found = figures_looked_up(register, book)
    known = {each.value.key for each in found}
    for line in dict.fromkeys(each.value.citation.line for each in found):
        of_line = [each for each in book.values() if each.citation.line == line]
        whole = all(each.key in known for each in of_line)
        own = [each for each in found if each.value.citation.line == line]
        figures = "" if whole else f" ({', '.join(f'{each.value.title}: {each.record.value}' for each in own)} alone)"
        said = "; ".join(dict.fromkeys(each.words(dates) for each in own))
        yield SourceLookedUp(version=book.version, source=line, said=f"{said}{figures}", whole=whole)


def _amount(value: RuleValue) -> str:
    return " ".join(part for part in (value.value, value.unit) if part)
