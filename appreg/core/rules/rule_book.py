"""A rule book: every figure that a verdict, an advice or an interval rests on, as data."""

from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from appreg.core.rules.rule_values import Basis, Citation, RuleValue
from appreg.core.values.dates_in_words import DateForm
from appreg.core.values.label_fields import LabelField

if TYPE_CHECKING:
    from appreg.core.rules.interval_tables import IntervalTable, LandlordProfile

Amount = Decimal | tuple[Decimal, ...] | tuple[str, ...]
"""One number, several numbers, or several words of a closed set."""


class Figure(Struct, frozen=True, kw_only=True):
    """One figure of a rule book with its source."""

    key: str
    """Dotted, unique in its book."""
    title: str
    amount: Amount
    unit: str
    condition: str
    citation: Citation

    @property
    def number(self) -> Decimal:
        """The figure where it is one number; raises TypeError otherwise."""
        if isinstance(self.amount, Decimal):
            return self.amount
        raise TypeError(self.key)

    @property
    def numbers(self) -> tuple[Decimal, ...]:
        """The figure as numbers, one or several; raises TypeError where it is words."""
        amounts = self.amount if isinstance(self.amount, tuple) else (self.amount,)
        if all(isinstance(amount, Decimal) for amount in amounts):
            return tuple(amount for amount in amounts if isinstance(amount, Decimal))
        raise TypeError(self.key)

    @property
    def words(self) -> tuple[str, ...]:
        """The figure as words; raises TypeError where it is numbers."""
        if isinstance(self.amount, tuple) and all(isinstance(word, str) for word in self.amount):
            return tuple(word for word in self.amount if isinstance(word, str))
        raise TypeError(self.key)

    @property
    def shown(self) -> str:
        """The figure as a list shows it, without its unit."""
        amounts = self.amount if isinstance(self.amount, tuple) else (self.amount,)
        return ", ".join(f"{amount:f}" if isinstance(amount, Decimal) else amount for amount in amounts)


class IntervalParts(Struct, frozen=True, kw_only=True):
    """The interval tables and landlord profiles that belong to a rule book."""

    tables: Mapping[str, "IntervalTable"]
    landlords: Callable[[], Mapping[str, "LandlordProfile"]]
    """Read where a duty is asked for."""
    list_values: Callable[[], tuple[RuleValue, ...]]
    """Reads every table: only a list of all figures needs that."""


class RuleBook(Struct, frozen=True, kw_only=True):
    """The figures in force for a country or a house, by key."""

    id: str
    title: str
    version: str
    """Name and number; an overlay appends its own name and a mark of its content."""
    default_interval_table: str
    figures: Mapping[str, Figure]
    intervals: Callable[[], IntervalParts]
    """Read on first use: judging needs none of it."""

    @property
    def interval_tables(self) -> Mapping[str, "IntervalTable"]:
        """The interval tables by id."""
        return self.intervals().tables

    @property
    def landlord_profiles(self) -> Mapping[str, "LandlordProfile"]:
        """The landlords' duties by id."""
        return self.intervals().landlords()

    @property
    def reservation(self) -> str:
        """What is to be said wherever the book is named; empty where it is made for the whole job."""
        return LIMITS_ONLY if self.lacking else ""

    def named(self, version: str = "") -> str:
        """The title with what is to be said beside it: a version, and its reservation."""
        beside = ", ".join(part for part in (version, self.reservation) if part)
        return f"{self.title} ({beside})" if beside else self.title

    @property
    def lacking(self) -> tuple[str, ...]:
        """The parts of the job that it has no good rows of its own for; none: it is made for the whole job."""
        return what_is_lacking(self.figures)

    @property
    def guards_acceptance(self) -> bool:
        """Tell whether it asks for guarded acceptance by itself."""
        rule = self.find("decision.rule")
        return rule is not None and rule.words == ("guarded",)

    @property
    def date_form(self) -> DateForm:
        """How dates are written on its labels and documents."""
        written = self.find("dates.written")
        return DateForm(written.words[0]) if written else DateForm.WORDS

    @property
    def label_fields(self) -> frozenset[LabelField]:
        """What a label must name besides tag, result and date."""
        names = self.find("label.names")
        return frozenset(LabelField(word) for word in names.words) if names else frozenset()

    def find(self, key: str) -> Figure | None:
        """The figure of that key, or None where the book gives none."""
        return self.figures.get(key)

    def values(self) -> tuple[RuleValue, ...]:
        """Every figure of the book, interval tables included, in the order of the book."""
        own = tuple(
            RuleValue(
                key=figure.key,
                title=figure.title,
                value=figure.shown,
                unit=figure.unit,
                condition=figure.condition,
                citation=figure.citation,
            )
            for figure in self.figures.values()
        )
        return own + self.intervals().list_values()


LIMITS_ONLY: Final = "limits and intervals only"
"""What is said of a book that is not whole."""
NEEDED: Final[Mapping[str, tuple[str, ...]]] = {
    "required checks": ("required.class-1", "required.class-2", "required.cord-set", "required.extension-lead"),
    "plugs": ("plug.fused", "plug.polarised", "plug.usual-cords"),
    "dates": ("dates.written",),
    "label": ("label.names",),
}
"""By part of the job: the rows of it that a book must have of its own; those all books share hold none of them."""


def what_is_lacking(figures: Mapping[str, "Figure"]) -> tuple[str, ...]:
    """The parts of the job that a book has no row of its own for, or only rows from memory; none: it is whole."""
    said = ((part, _fault(figures, keys)) for part, keys in NEEDED.items())
    return tuple(f"{part} ({fault})" for part, fault in said if fault)


def _fault(figures: Mapping[str, "Figure"], keys: tuple[str, ...]) -> str:
    if any(key not in figures for key in keys):
        return "none of its own"
    return "from memory" if any(figures[key].citation.basis is Basis.MEMORY for key in keys) else ""
