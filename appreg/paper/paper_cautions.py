"""The cautions that every document carries."""

from typing import Final

CAUTIONS: Final = (
    (
        "Results are those of the day and of the instrument named. An item can become unsafe at any time after; "
        "look at it before each use."
    ),
    (
        "An item marked FAIL stays out of use until it is repaired and has passed again. "
        "Never energise an item that failed its earth check."
    ),
    (
        "A limit or an interval printed here names its source and does not replace it. The standards in force, local codes, "
        "the maker's instructions and licensed practice come first."
    ),
    "Inspection and testing is work for competent persons. The duty holder decides about intervals and use.",
)
"""One sentence or two each, in the order of the page."""
