"""What short words beside figures mean, said once at the end of a document, as far as they stand in it."""

from collections.abc import Iterable
from typing import Final

from appreg.paper.documents.item_lines import InspectedItem
from appreg.paper.documents.reading_bar import BAR_LEGEND, share_of

_MEANINGS: Final = (
    (
        "CoP",
        (
            "CoP: the Code of Practice for In-service Inspection and Testing of Electrical Equipment, in the edition named "
            "beside it. Where none is named, this program does not know which edition has the figure."
        ),
    ),
    (
        "second-hand",
        "Second-hand: the figure is taken from what others have published of the document, not from the document itself.",
    ),
    ("common practice", "Common practice: no standard gives the figure; it is what is usually done."),
    (
        "memory",
        "From memory: nobody has compared the figure with the document it is ascribed to; have that done before you rely on it.",
    ),
)


_RULES: Final = "Rules gb 2 and the like: this program's rule book with its revision, which names for each figure the document it comes from."


def legend(texts: Iterable[str]) -> list[str]:
    """What a rule book is, and the meanings of those words that stand in the texts."""
    return [_RULES, *meanings(texts)]


def meanings(texts: Iterable[str]) -> list[str]:
    """The meanings of those words alone."""
    said = "\n".join(texts)
    return [meaning for word, meaning in _MEANINGS if word in said]


def advised(items: Iterable[InspectedItem]) -> list[str]:
    """The advice that stands beside items, where such words stand too."""
    return [sentence for item in items if item.inspection is not None for sentence in item.inspection.advice]


def bars(items: Iterable[InspectedItem]) -> list[str]:
    """What the bars beside readings mean, where there is one."""
    drawn = any(share_of(finding) for item in items for finding in (*item.findings, *item.tested))
    return [BAR_LEGEND] if drawn else []
