"""When a rule book is made for the whole job: decided by the rows it has and how they are known."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Final

from appreg.core.rule_values import Basis

if TYPE_CHECKING:
    from appreg.core.rule_book import Figure

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
