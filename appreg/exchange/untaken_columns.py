"""Columns of results that are not taken though a failure may stand in them: they are asked about, never passed over."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Final

from appreg.core.records.checks import Check
from appreg.exchange.column_contents import Contents
from appreg.exchange.column_mapping import MappingProblem
from appreg.exchange.head_words import LIKELY, SURE, fields_named, head_of
from appreg.exchange.import_fields import ImportField, ImportKind

LEAST_FIT: Final = 0.6
"""The share of cells that a field must take."""
_CHECKS: Final = frozenset(map(str, Check))
_ANSWERS: Final = ("outcome", "verdict")


def asked_of_untaken(
    texts: Sequence[str], contents: Sequence[Contents], taken: Mapping[int, str], fields: Mapping[str, ImportField]
) -> Iterator[MappingProblem]:
    """What must be said of the columns that are not taken; `taken` has the fields of the others by their place, from 0."""
    for at, text in enumerate(texts):
        if at in taken or contents[at].is_empty:
            continue
        what = _doubt_of(text, contents[at], fields, taken.values())
        if what:
            todo = "say what it becomes, or that it is not taken"
            yield MappingProblem(column=text, position=at + 1, what=what, todo=todo)


def _doubt_of(text: str, contents: Contents, fields: Mapping[str, ImportField], taken: Collection[str]) -> str:
    """Why a column may not be passed over; empty where it may."""
    named = fields_named(text, ImportKind.RESULTS)
    name, score = max(named.items(), key=lambda each: each[1], default=("", 0.0))
    if name in _CHECKS & fields.keys() and score >= LIKELY:
        words = fields[name].words
        if contents.fit(fields[name], head_of(text).unit) >= LEAST_FIT:
            return f"is not the only column that may be {words}"
        unread = score >= SURE and not contents.all_pass
        return f"may be {words}, and most of its cells cannot be read" if unread else ""
    if contents.all_pass_or_fail and not head_of(text).turns_round and not set(_ANSWERS) & set(taken):
        return "tells what passed and what failed"
    return ""
