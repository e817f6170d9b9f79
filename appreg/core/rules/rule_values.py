"""Where a figure of a rule book comes from, and how far that source can be trusted."""

from collections.abc import Iterable
from enum import StrEnum

from msgspec import Struct


class Basis(StrEnum):
    """How a figure is known, the firmest first."""

    PUBLISHED = "published"
    SECOND_HAND = "second-hand"
    COMMON_PRACTICE = "common practice"
    MEMORY = "memory"


class Citation(Struct, frozen=True, kw_only=True):
    """The source of a figure, its edition, and the basis on which it is known."""

    source: str
    edition: str = ""
    basis: Basis
    note: str = ""

    @property
    def line(self) -> str:
        """Source and edition in one line."""
        return f"{self.source}, {self.edition}" if self.edition else self.source


class RuleValue(Struct, frozen=True, kw_only=True):
    """One figure of a rule book as a list shows it."""

    key: str
    """Dotted, unique in its book."""
    title: str
    value: str
    unit: str
    condition: str
    citation: Citation


def joined(citations: Iterable[Citation]) -> Citation:
    """Cite several figures at once: every source, and the least firm basis among them."""
    given = list(dict.fromkeys(citations))
    lines = dict.fromkeys(citation.line for citation in given)
    firmness = list(Basis)
    return Citation(
        source="; ".join(lines),
        basis=max((citation.basis for citation in given), key=firmness.index),
        note=" ".join(citation.note for citation in given if citation.note),
    )


def cited(sentence: str, *citations: Citation) -> str:
    """A sentence with its sources and their least firm basis in brackets."""
    sources = "; ".join(dict.fromkeys(citation.source for citation in citations))
    return f"{sentence} ({sources}, {joined(citations).basis})"
